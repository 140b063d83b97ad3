"""Whether a folder lies where several computers, or a file server, have a hand in it."""

import contextlib
import os
from pathlib import Path

# What programs that keep folders in step leave in the uppermost of them, and how such folders are called where they
# leave nothing; file systems of other computers, as Linux calls them. (From memory of their documentation.)
_MARKS = (
    ".dropbox",
    ".dropbox.cache",
    ".stfolder",
    ".sync",
    ".owncloudsync.log",
    ".nextcloudsync.log",
    ".megasync",
)
_NAMES = frozenset(
    {"dropbox", "onedrive", "nextcloud", "owncloud", "google drive", "mobile documents", "mega"}
)
_REMOTE = frozenset(
    {"nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "afs", "ceph", "davfs", "fuse.sshfs", "fuse.davfs"}
)
_MOUNTS = Path("/proc/self/mountinfo")


def kept_in_step(folder: Path) -> Path | None:
    """The folder, this one or one above it, that another program seems to keep in step with other computers."""
    for place in (folder, *folder.parents):
        if place.name.casefold().partition(" - ")[0] in _NAMES:
            return place
        for mark in _MARKS:
            with contextlib.suppress(OSError):
                if os.path.lexists(place / mark):
                    return place
    return None


def on_a_server(folder: Path, mounts: Path = _MOUNTS) -> Path | None:
    """The disk that the folder is on, if it is another computer's; None also where the system does not tell."""
    try:
        lines = mounts.read_text("utf-8", errors="replace").splitlines()
        here = folder.resolve()
    except OSError:
        return None
    disks: dict[Path, str] = {}
    for line in lines:
        before, _, after = line.partition(" - ")
        fields = before.split()
        if len(fields) > 4 and after:
            disks[Path(fields[4].replace("\\040", " "))] = after.split()[0]
    on = max(
        (disk for disk in disks if disk in (here, *here.parents)),
        key=lambda disk: len(disk.parts),
        default=None,
    )
    return on if on is not None and disks[on] in _REMOTE else None
