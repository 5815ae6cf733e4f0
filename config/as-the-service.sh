#!/bin/sh
# Runs lullwort as the service's user, with the service's settings and cellar book: files that another user made there
# would stand in the service's way. Copy to /usr/local/bin/lullwort.
exec sudo -u lullwort env LULLWORT_SETTINGS=/etc/lullwort/settings.toml LULLWORT_BOOK=/var/lib/lullwort/cellar.book \
  /opt/lullwort/bin/lullwort "$@"
