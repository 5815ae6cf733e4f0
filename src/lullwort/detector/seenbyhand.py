"""What is known of a beer where hand samples alone speak: nothing is left of what the sensor told of gravity."""

from __future__ import annotations

import msgspec

from lullwort.detector.expected import driest_points
from lullwort.detector.handlook import HandEntries
from lullwort.detector.snapshot import Snapshot
from lullwort.detector.watch import VesselWatch

__all__ = ["seen_by_hand"]


def seen_by_hand(seen: Snapshot, watch: VesselWatch, known: HandEntries) -> Snapshot:
    """As `seen` by the sensor, but for what the samples tell, who alone speak."""
    hand, by_hand = watch.hand, watch.hand.seen(seen.at_us, known)
    gravity = by_hand.gravity
    # While one of them must be wrong, a bottle is told of by the higher.
    higher = max(0.0, by_hand.newest - gravity) if by_hand.doubted else 0.0
    fermentable = higher + max(0.0, gravity - driest_points(watch.highest_original))
    return msgspec.structs.replace(
        seen,
        level=gravity,
        level_sd=by_hand.gravity_sd,
        offset=0.0,
        offset_sd=0.0,
        hand_error_sd=0.0,
        answer=None,
        scale=1.0,
        scale_sd=0.0,
        samples=0,
        odd_sample=None,
        outvoted=False,
        disputed_from=None,
        sampled_gravity=None,
        must_reach=known.must_reach,
        ready_down_to=None,
        ready_gravity=hand.ready_gravity if hand.ready else None,
        moved=by_hand.moved,
        moved_upper=by_hand.moved_upper,
        moved_limit=watch.tolerance,
        fell=by_hand.fell,
        left=min(by_hand.left, fermentable),
        left_upper=min(by_hand.left_upper + higher, fermentable),
        fermentable=fermentable,
        main_fall=by_hand.main_fall,
        restarted_by=by_hand.restarted_by,
        restarted_us=by_hand.restarted_us,
        temp_c=by_hand.temp_c,
        rising=False,
        under_pressure=False,
        disagreement=0.0,
        start_disagreement=0.0,
        confirmed_us=by_hand.last_us if hand.ready else None,
        chilled=None,
        split=None,
        proved_left=None,
        hours_to_go=None,
        hand=by_hand,
    )
