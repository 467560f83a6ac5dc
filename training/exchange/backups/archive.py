"""What is a backup file made of, and is one that somebody hands in what it says it is?

A backup is a zip file: the database, the pictures, and a list of both with their sizes and SHA-256.
Whoever hands one in may have made it to do harm, so nothing of it is believed: only names of ours,
no more bytes than the list says.
"""

from __future__ import annotations

import hashlib
import json
import re
import stat
import zipfile
import zlib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import IO

from django.utils.translation import gettext

from procedures.records.refused import Refused

FORMAT = 1
LIST = "manifest.json"
LONGEST_LIST = 32 * 1024 * 1024  # bytes; a shop with 100,000 pictures has a list of half of that
DATABASES = {"sqlite": "database.sqlite3", "postgresql": "database.dump"}
PICTURE = re.compile(r"pictures/([0-9a-f]{64})")
CHUNK = 1024 * 1024
# of a member of a zip file; the list says when the backup was made
# A zip file knows no time zone, and a fixed date gives the same bytes for the same contents.
FIRST_DATE = (1980, 1, 1, 0, 0, 0)
# What zipfile raises for bytes that are none of its own; some of it only while reading.
BROKEN = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    NotImplementedError,
    RuntimeError,
    ValueError,
    OSError,
)


@dataclass(frozen=True, slots=True)
class Head:
    """How far a record book goes: the number and digest of its newest entry, and when that was
    written (ISO, UTC).
    """

    number: int
    digest: str
    written_at: str


@dataclass(frozen=True, slots=True)
class Member:
    """One file of the backup."""

    size: int
    sha256: str


@dataclass(frozen=True, slots=True)
class Manifest:
    """The list in a backup: what made it and when, which database, how far its book goes, and every
    file in it.

    `first` is the digest of the book's first entry, by which the backups of one shop know each
    other.
    """

    program: str
    made_at: str
    database: str
    book: Head
    first: str
    migrations: Mapping[str, tuple[str, ...]]
    members: Mapping[str, Member]


def write(
    target: Path, sources: Mapping[str, Path], listed: Callable[[Mapping[str, Member]], Manifest]
) -> Manifest:
    """Pack these files under these names into a new zip file; `listed` makes the list when their
    digests are known.
    """
    members = {}
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as packed:
        for name, source in sources.items():
            members[name] = _pack(packed, name, source)
        manifest = listed(members)
        packed.writestr(_entry(LIST), json.dumps({"format": FORMAT, **asdict(manifest)}, indent=1))
    return manifest


def _pack(packed: zipfile.ZipFile, name: str, source: Path) -> Member:
    digest, size = hashlib.sha256(), 0
    # The size is not known before it is read, and may be beyond 4 GiB.
    with source.open("rb") as file, packed.open(_entry(name), "w", force_zip64=True) as member:
        while piece := file.read(CHUNK):
            digest.update(piece)
            size += len(piece)
            member.write(piece)
    return Member(size, digest.hexdigest())


def _entry(name: str) -> zipfile.ZipInfo:
    """A member that only its owner may read; what is packed already (photos, a dump) is not packed
    again.
    """
    entry = zipfile.ZipInfo(name, FIRST_DATE)
    entry.external_attr = (stat.S_IFREG | 0o600) << 16
    entry.compress_type = (
        zipfile.ZIP_DEFLATED if name in (LIST, DATABASES["sqlite"]) else zipfile.ZIP_STORED
    )
    return entry


class Backup:
    """A backup file that is open to be read: `with Backup(path) as backup: …`. Everything raises
    Refused for a bad one.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        try:
            self._zip = zipfile.ZipFile(path)
        except FileNotFoundError:
            raise Refused(gettext("There is no file {path}.").format(path=path)) from None
        except BROKEN as error:
            raise self._bad(gettext("it is not a backup, or a part of it is missing")) from error
        try:
            self.manifest = self._read_list()
        except Refused:
            self._zip.close()
            raise

    def __enter__(self) -> Backup:
        return self

    def __exit__(self, *_: object) -> None:
        self._zip.close()

    def check(self, tell: Callable[[str], None] = lambda _: None) -> None:
        """Read every file of the backup against its digest."""
        for place, name in enumerate(self.manifest.members, 1):
            tell(
                gettext("Checking file {place} of {total}").format(
                    place=place, total=len(self.manifest.members)
                )
            )
            for _ in self.pieces(name):
                pass

    def extract(self, name: str, target: Path) -> None:
        """Write one file of the backup to a new file of ours."""
        with target.open("xb") as file:
            target.chmod(0o600)
            for piece in self.pieces(name):
                file.write(piece)

    def pieces(self, name: str) -> Iterator[bytes]:
        """One file in pieces, held against its size and digest; at the end it raises where they do
        not fit.
        """
        wanted = self.manifest.members[name]
        digest, left = hashlib.sha256(), wanted.size
        try:
            with self._zip.open(name) as member:
                # One byte beyond the list's size is enough to know; a bomb is unpacked no further.
                while piece := member.read(min(CHUNK, left + 1)):
                    left -= len(piece)
                    if left < 0:
                        break
                    digest.update(piece)
                    yield piece
        except BROKEN as error:
            raise self._bad(gettext("{name} inside it cannot be read").format(name=name)) from error
        if left or digest.hexdigest() != wanted.sha256:
            raise self._bad(gettext("{name} inside it was changed").format(name=name))

    def _read_list(self) -> Manifest:
        entries = self._zip.infolist()
        names = [entry.filename for entry in entries]
        # Of two members of one name, one reader takes the first and another the last.
        if names.count(LIST) != 1 or len(set(names)) != len(names):
            raise self._bad(gettext("its list of files is missing, or it holds a file twice"))
        # A link could make an unpacking program write outside its folder.
        if any(stat.S_ISLNK(entry.external_attr >> 16) for entry in entries):
            raise self._bad(gettext("it holds a link"))
        try:
            manifest = read_manifest(self._text(self._zip.open(LIST)))
        except (KeyError, TypeError, AttributeError, RecursionError, *BROKEN) as error:
            raise self._bad(gettext("its list of files cannot be read")) from error
        foreign = [
            name
            for name in manifest.members
            if name != DATABASES.get(manifest.database) and not PICTURE.fullmatch(name)
        ]
        sizes = {name: member.size for name, member in manifest.members.items()}
        # Only names of ours are ever written, so none can point out of the folder.
        if foreign or DATABASES.get(manifest.database) not in sizes:
            raise self._bad(
                gettext("it holds files that do not belong in a backup, or its database is missing")
            )
        # Before anything is unpacked: a member more could hold what nobody checks.
        if {
            entry.filename: entry.file_size for entry in entries if entry.filename != LIST
        } != sizes:
            raise self._bad(gettext("its list and its files do not agree"))
        return manifest

    def _text(self, member: IO[bytes]) -> str:
        with member:
            text = member.read(LONGEST_LIST + 1)
        if len(text) > LONGEST_LIST:
            raise ValueError("The list is too long.")
        return text.decode()

    def _bad(self, why: str) -> Refused:
        return Refused(
            gettext("{path} cannot be used: {why}. Use another backup.").format(
                path=self._path, why=why
            )
        )


def read_manifest(text: str) -> Manifest:
    """The list as it is written in a backup. Raises KeyError, TypeError, AttributeError or
    ValueError for anything else.
    """
    said = json.loads(text)
    if said["format"] != FORMAT:
        raise ValueError("This is a list of another kind.")
    book = said["book"]
    return Manifest(
        program=str(said["program"]),
        made_at=_instant(said["made_at"]),
        database=str(said["database"]),
        book=Head(
            int(book["number"]),
            str(book["digest"]),
            _instant(book["written_at"]) if book["number"] else "",
        ),
        first=str(said["first"]),
        migrations={str(app): tuple(map(str, names)) for app, names in said["migrations"].items()},
        members={str(name): _member(told) for name, told in said["members"].items()},
    )


def _instant(text: str) -> str:
    """This instant, if it is one with a zone."""
    if datetime.fromisoformat(text).utcoffset() is None:
        raise ValueError("An instant says its zone.")
    return text


def _member(told: Mapping[str, object]) -> Member:
    size = told["size"]
    if not isinstance(size, int) or size < 0:
        raise ValueError("A size is a number of bytes.")
    return Member(size, str(told["sha256"]))
