"""The motion of a measured bat as one line of letters, so that files and links keep it."""

from __future__ import annotations

import base64
import struct
import zlib
from functools import lru_cache

import numpy as np

from plane3d.frames import Array, norm
from plane3d.physics.measured_swing import LEAST_POSES, Track

VERSION = "1"  # first letter; another way of writing gets another one
MOST_LETTERS = 12_000
_HEAD = struct.Struct("<ddHH")  # start and end, s; how many poses up to contact and from it on
_MOST_POSES = 300
_FARTHEST = 20.0  # m from the plate that a bat is still thought to be
_LONGEST = 2.0  # s either side of contact


def packed(track: Track) -> str:
    """The poses the splines of a track go through, to the eighth digit of a number; what `unpacked` reads."""
    before, after = track.poses
    head = _HEAD.pack(track.start, track.end, len(before), len(after))
    data = head + np.concatenate([before, after]).astype("<f4").tobytes()
    return VERSION + base64.urlsafe_b64encode(zlib.compress(data, 9)).decode("ascii")


@lru_cache(maxsize=64)
def unpacked(text: str) -> Track:
    """The track in such a line. Raises ValueError for anything that no track was written as."""
    if not text.startswith(VERSION) or len(text) > MOST_LETTERS:
        raise ValueError("not written by this version")
    start, end, counts, poses = _read(text[len(VERSION) :])
    if not (-_LONGEST <= start < 0 < end <= _LONGEST and len(poses) == sum(counts)):
        raise ValueError("no times of a swing")
    lengths = norm(poses[:, 3:])
    if not (np.abs(poses) <= _FARTHEST).all() or lengths.min() < 0.5 or lengths.max() > 2.0:  # NaN is neither
        raise ValueError("no places of a bat")
    return Track.through(poses[: counts[0]], poses[counts[0] :], start, end)


def _read(letters: str) -> tuple[float, float, tuple[int, int], Array]:
    most = _HEAD.size + 2 * _MOST_POSES * 6 * 4
    try:
        unpacking = zlib.decompressobj()
        data = unpacking.decompress(base64.b64decode(letters, altchars=b"-_", validate=True), most)
        start, end, before, after = _HEAD.unpack_from(data)
    except (zlib.error, struct.error) as error:
        raise ValueError("damaged or cut short") from error
    if not unpacking.eof or not all(LEAST_POSES <= n <= _MOST_POSES for n in (before, after)):
        raise ValueError("damaged or cut short")
    numbers = np.frombuffer(data, "<f4", offset=_HEAD.size).astype(float)  # ValueError where bytes are missing
    return start, end, (before, after), numbers.reshape(-1, 6)
