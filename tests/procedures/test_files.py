"""Does a picture come in whole or not at all, and does nothing stay of one that came in by half?"""

import os
import time

from procedures.records.files import digest_of, find_kept, keep

DAY = 24 * 60 * 60


def test_what_a_killed_server_left_by_half_goes_after_a_day(settings, tmp_path):
    settings.PICTURES = tmp_path / "pictures"
    first = keep(b"one")
    old, fresh = (settings.PICTURES / f".coming-in-{name}" for name in ("old", "fresh"))
    for half in (old, fresh):
        half.write_bytes(b"ha")
    long_ago = time.time() - DAY - 60
    os.utime(old, (long_ago, long_ago))
    os.utime(settings.PICTURES / first, (long_ago, long_ago))
    second = keep(b"two")
    assert {path.name for path in settings.PICTURES.iterdir()} == {first, second, fresh.name}
    assert find_kept(digest_of(b"one")) == b"one"
