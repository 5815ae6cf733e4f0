#!/bin/sh
# Makes the certificates with which this board proves itself to phones and sensors on your own network, in this folder:
#   sh certificates.sh NAME ADDRESS       as: sh certificates.sh cellar.local 192.168.1.20
# cellar-ca.crt goes onto every phone or sensor that is to trust the board; board.crt and board.key stay on it. Whoever
# has cellar-ca.key can pass for the board: keep it off the board, it is needed again only to renew board.crt.
set -eu
[ $# -eq 2 ] || { echo "certificates.sh: give the board's name and address, as cellar.local 192.168.1.20" >&2; exit 2; }
umask 077

if [ ! -e cellar-ca.key ]; then
  openssl req -x509 -newkey ec -pkeyopt ec_paramgen_curve:prime256v1 -nodes -days 3650 -subj "/CN=Cellar of $1" \
    -addext "keyUsage=critical,keyCertSign" -keyout cellar-ca.key -out cellar-ca.crt 2>/dev/null
fi

# Phones take no certificate that is valid for more than 825 days, or that does not say that it is a server's.
openssl req -new -newkey ec -pkeyopt ec_paramgen_curve:prime256v1 -nodes -subj "/CN=$1" \
  -keyout board.key -out board.csr 2>/dev/null
cat > board.ext <<END
subjectAltName=DNS:$1,IP:$2
basicConstraints=critical,CA:FALSE
keyUsage=critical,digitalSignature
extendedKeyUsage=serverAuth
subjectKeyIdentifier=hash
authorityKeyIdentifier=keyid
END
openssl x509 -req -in board.csr -CA cellar-ca.crt -CAkey cellar-ca.key -CAcreateserial -days 820 -extfile board.ext \
  -out board.crt 2>/dev/null
rm board.csr board.ext
chmod 644 cellar-ca.crt board.crt
echo "cellar-ca.crt, board.crt and board.key made for $1 and $2"
