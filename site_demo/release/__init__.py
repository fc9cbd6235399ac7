"""The release: one zip that is the same, byte for byte, whenever it is made from the same commit.

origin.py what it is made from; contents.py the folder; licences.py and bill.py what others have made; archive.py the zip;
update.py the smaller one for those who have the last version; reproduce.py the proof; delivery.py how long it takes to send.
"""


class ReleaseError(Exception):
    """What stops a release, and what to do about it."""
