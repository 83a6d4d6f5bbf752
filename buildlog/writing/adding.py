"""`buildlog add`: photos into a new dated stage record, or into one that is there; only words are left to write."""

from __future__ import annotations

import re
import time
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from fractions import Fraction
from pathlib import Path, PurePosixPath
from zoneinfo import ZoneInfo

from buildlog.photos.facts import PHOTO_SUFFIXES, PhotoError, PhotoFacts
from buildlog.photos.sessions import check_session, propose_view
from buildlog.photos.store import PictureStore, Progress
from buildlog.records.fields import nearest
from buildlog.records.loading import EXPORT, RAW_SUFFIXES
from buildlog.records.models import FolderEntry, PhotoEntry, StageRecord, TurntableEntry
from buildlog.records.workshop import Build, Update, Workshop, folder_rest, turntable_frames
from buildlog.writing import WritingError
from buildlog.writing.extending import CannotExtendError, extend_photos, photos_column
from buildlog.writing.files import copy_new, replace_same, write_new
from buildlog.writing.starting import schema_comment
from buildlog.writing.yamltext import line, scalar, slug

_EARLIER_PER_VIEW = 3
"""Newest pictures of each view that a new one is compared with."""


@dataclass(frozen=True)
class NewPhoto:
    """One photo of the new record."""

    source: Path
    path: PurePosixPath
    """Where it will lie, from the build's `photos` folder."""
    taken: datetime
    """By the workshop's clock."""
    facts: PhotoFacts
    is_there: bool = False
    """Whether the same bytes lie there already, so that nothing is copied."""
    view: str = ""
    """Proposed; empty where nothing is sure."""


@dataclass(frozen=True)
class NewRecord:
    """What `write_record` will write."""

    build: Build
    path: Path
    """The record."""
    day: date
    stage: str
    """Its name, as shown."""
    text: str
    """The whole record."""
    photos: tuple[NewPhoto, ...]
    refused: tuple[PhotoError, ...]
    """Photos that cannot be used; the others can."""
    remarks: tuple[str, ...]
    """What the person should know, a sentence each."""
    before: bytes | None = None
    """The record as it is, where there is one that the photos go into."""
    entries: str = ""
    """The lines that are put into that record."""
    to_paste: str = ""
    """Why these lines cannot be put in, so that the person has to; empty where they can."""


Report = Callable[[Progress], None]


def find_build(workshop: Workshop, name: str) -> Build:
    """
    Find a build by its folder's name, or by its own.

    Raises:
        WritingError: There is none; names the nearest.
    """
    name = unicodedata.normalize("NFC", name.strip("/\\"))
    for build in workshop.builds:
        if name.casefold() in {build.slug.casefold(), build.record.name.casefold()}:
            return build
    slugs = [build.slug for build in workshop.builds]
    if not slugs:
        raise WritingError(
            f'There is no build "{name}": the workshop has none yet. Begin one: buildlog commission "{name}"'
        )
    guess = nearest(name, slugs)
    raise WritingError(
        f'There is no build "{name}"; did you mean {guess}?'
        if guess
        else f'There is no build "{name}". There is: {", ".join(slugs)}.\nBegin a new one: buildlog commission "{name}"'
    )


def plan_record(
    workshop: Workshop,
    build: Build,
    sources: Sequence[Path],
    store: PictureStore,
    *,
    root: Path,
    apart_from: Sequence[Path] = (),
    day: date | None = None,
    stage: str | None = None,
    title: str | None = None,
    on_progress: Report | None = None,
) -> NewRecord:
    """
    Work out a new record; nothing is written.

    Args:
        workshop: All the records.
        build: The one to add to.
        sources: Photos, and folders of photos.
        store: Remembers what is known of photos; open.
        root: The workshop's folder, which may hold the editor's schemas.
        apart_from: Folders in which no photo is looked for: the site, made pictures.
        day: The record's date; left out, the day the last photo was taken.
        stage: Id or name of a stage of work; left out, the one in progress.
        title: The page's heading; left out, the stage's name.
        on_progress: Told how many photos are read.

    Raises:
        WritingError: No photo can be used, or date or stage will not do.
    """
    new, refused, remarks = _gather(workshop, build, sources, store, apart_from, on_progress)
    days = sorted({photo.taken.date() for photo in new})
    is_given = day is not None
    if day is None:
        day = days[-1]
        if len(days) > 1:
            remarks.append(
                f"The photos were taken on {len(days)} days, {days[0]} to {days[-1]}; the record's date is the last."
            )
    _check_day(build, day, is_given=is_given)
    work_stage = _find_stage(build, stage) if stage else _stage_in_progress(build, day)
    stage_name = build.stage_names[work_stage]
    written_date = _written_date(build, day, work_stage, new[-1].taken)
    new = _with_views(build, _placed(build, new), store)
    name = _free_name(build, f"{day}-{slug(title or '') or work_stage}")
    path = build.folder / "stages" / f"{name}.yml"
    text = _render_record(
        build,
        written_date,
        work_stage,
        title or _free_title(build, stage_name),
        new,
        schema_comment(root, path, "stage"),
    )
    return NewRecord(
        build=build,
        path=path,
        day=day,
        stage=stage_name,
        text=text,
        photos=tuple(new),
        refused=tuple(refused),
        remarks=tuple(remarks),
    )


def plan_addition(
    workshop: Workshop,
    build: Build,
    record: str,
    sources: Sequence[Path],
    store: PictureStore,
    *,
    apart_from: Sequence[Path] = (),
    on_progress: Report | None = None,
) -> NewRecord:
    """
    Work out how photos get into a record that is there; nothing is written.

    Args:
        workshop: All the records.
        build: The one to add to.
        record: The record's name, or its file.
        sources: Photos, and folders of photos.
        store: Remembers what is known of photos; open.
        apart_from: Folders in which no photo is looked for: the site, made pictures.
        on_progress: Told how many photos are read.

    Raises:
        WritingError: No photo can be used, or there is no such record.
    """
    update = _find_update(build, record)
    path = (workshop.folder / update.path).resolve()
    new, refused, remarks = _gather(workshop, build, sources, store, apart_from, on_progress)
    days = sorted({photo.taken.date() for photo in new})
    if days != [update.day]:
        when = str(days[0]) if len(days) == 1 else f"{days[0]} to {days[-1]}"
        remarks.append(f"The photos were taken on {when}; the record's date is {update.day}.")
    new = _with_views(build, _placed(build, new), store)
    before = path.read_bytes()
    text = before.decode("utf-8")
    offers_callouts = "callouts" not in text
    files = [photo.path for photo in new]
    to_paste = ""
    try:
        extended = extend_photos(text, lambda column: _render_entries(new, column, offers_callouts), files)
    except CannotExtendError as reason:
        extended, to_paste = text, str(reason)
    entries = _render_entries(new, photos_column(text), offers_callouts)
    return NewRecord(
        build=build,
        path=workshop.folder / update.path,
        day=update.day,
        stage=build.stage_names[update.record.stage],
        text=extended,
        photos=tuple(new),
        refused=tuple(refused),
        remarks=tuple(remarks),
        before=before,
        entries="\n".join(entries).rstrip("\n") + "\n",
        to_paste=to_paste,
    )


def write_record(new: NewRecord, on_progress: Report | None = None) -> None:
    """
    Copy the photos in and write the record, last of all; no photo that is there is overwritten.

    A record that is there changes in one step, by the new lines alone; not at all where they are left to be pasted.

    Raises:
        WritingError: A file cannot be written. The record is then as it was, or there is none; photos that were copied
            are used next time.
    """
    to_copy = [photo for photo in new.photos if not photo.is_there]
    began = time.monotonic()
    try:
        for number, photo in enumerate(to_copy, start=1):
            copy_new(photo.source, new.build.photo_folder / photo.path)
            if on_progress:
                on_progress(Progress(number, len(to_copy), time.monotonic() - began))
        if new.before is None:
            write_new(new.path, new.text)
        elif not new.to_paste and not replace_same(new.path.resolve(), new.before, new.text.encode("utf-8")):
            raise WritingError(f"{new.path} was changed in the meantime; it is as you left it. Try again.")
    except FileExistsError as error:
        name = error.filename2 or error.filename
        raise WritingError(f"{name} was made in the meantime; no record was written. Try again.") from None
    except OSError as error:
        raise WritingError(
            f"{error.filename}: {error.strerror}; no record was written. "
            "Photos that were copied stay and are used again the next time."
        ) from None


# --- photos --------------------------------------------------------------------------------------


def _gather(
    workshop: Workshop,
    build: Build,
    sources: Sequence[Path],
    store: PictureStore,
    apart_from: Sequence[Path],
    on_progress: Report | None,
) -> tuple[list[NewPhoto], list[PhotoError], list[str]]:
    """
    Read the photos that are new to the build, in the order they were taken.

    Returns:
        Them, those that cannot be used, and what the person should know.

    Raises:
        WritingError: There is none.
    """
    zone = ZoneInfo(workshop.record.time_zone)
    others = [workshop.folder / "builds" / other.slug for other in workshop.builds if other.slug != build.slug]
    found, refused, remarks = _find_photos(sources, [folder.resolve() for folder in (*apart_from, *others)])
    # Every photo is read whole, so that one that was cut short on its way off the camera is found now.
    read, unreadable = store.read_facts(found, on_progress=on_progress)
    refused += unreadable
    facts = list({photo.digest: photo for photo in reversed(read.values())}.values())
    new, left_out = _without_shown(build, facts, zone)
    if not new:
        reasons = [str(error) for error in refused] + left_out
        raise WritingError("\n".join([*reasons, "There is no photo to add, so nothing was written."]))
    remarks += left_out
    new.sort(key=lambda photo: (photo.taken, photo.source.name))
    remarks += [finding.message for finding in check_session([photo.facts for photo in new])]
    return new, refused, remarks


def _find_photos(sources: Sequence[Path], apart_from: Sequence[Path]) -> tuple[list[Path], list[PhotoError], list[str]]:
    """Find the photos among what was given, each file once."""
    found: dict[Path, Path] = {}
    refused: list[PhotoError] = []
    remarks: list[str] = []
    for source in sources:
        try:
            photos, remark = _photos_at(source, apart_from)
        except PhotoError as error:
            refused.append(error)
        except OSError as error:
            refused.append(PhotoError(source, f"cannot be read: {error.strerror}; copy it to where you may read it"))
        else:
            for path in photos:
                found.setdefault(path.resolve(), path)
            remarks += [remark] if remark else []
    return list(found.values()), refused, remarks


def _photos_at(source: Path, apart_from: Sequence[Path]) -> tuple[list[Path], str]:
    """
    Give a photo, or the photos of a folder, and what is to be said of its other files.

    Raises:
        PhotoError: There is none.
        OSError: It may not be looked at.
    """
    if not source.exists():
        raise PhotoError(source, "does not exist; check the name")
    if not source.is_dir():
        if source.suffix.lower() not in PHOTO_SUFFIXES:
            if source.suffix.lower() in RAW_SUFFIXES:
                raise PhotoError(source, f"is a camera's raw file; {EXPORT}, and add that")
            kinds = ", ".join(sorted(suffix[1:] for suffix in PHOTO_SUFFIXES))
            raise PhotoError(source, f"is no photo this tool can read; it reads {kinds}")
        return [source], ""
    files = list(_files_in(source, apart_from))
    photos = [path for path in files if path.suffix.lower() in PHOTO_SUFFIXES]
    if not photos:
        only_raw = any(path.suffix.lower() in RAW_SUFFIXES for path in files)
        raise PhotoError(source, f"holds raw files alone; {EXPORT}" if only_raw else "is a folder without photos")
    others = sorted({path.suffix.lower() or path.name for path in files} - PHOTO_SUFFIXES)
    if not others:
        return photos, ""
    number = len(files) - len(photos)
    what = "1 file that is no photo" if number == 1 else f"{number} files that are no photos"
    raw = ""
    if any(suffix in RAW_SUFFIXES for suffix in others):
        raw = f" Of a camera's raw file nothing can be shown: {EXPORT}."
    return photos, f"{what} in {source} left out ({', '.join(others)}).{raw}"


def _files_in(folder: Path, apart_from: Sequence[Path]) -> Iterator[Path]:
    """Give a folder's files and those of folders in it, sorted; hidden ones and links to folders are passed over."""
    for path in sorted(folder.iterdir()):
        if path.name.startswith(".") or path.resolve() in apart_from:
            continue
        if path.is_file():
            yield path
        elif path.is_dir() and not path.is_symlink():
            yield from _files_in(path, apart_from)


def _by_clock(facts: PhotoFacts, zone: ZoneInfo) -> datetime:
    """Say when a photo was taken by the workshop's clock: as the camera says, otherwise by the file's time."""
    if facts.taken is None:
        return datetime.fromtimestamp(facts.path.stat().st_mtime, tz=zone)
    return facts.taken.astimezone(zone) if facts.taken.tzinfo else facts.taken.replace(tzinfo=zone)


def _without_shown(build: Build, facts: Sequence[PhotoFacts], zone: ZoneInfo) -> tuple[list[NewPhoto], list[str]]:
    """Find the photos that are new to the build; those that an earlier record shows are left out and named."""
    there = _Originals(build)
    shown = _shown_by(build)
    new: list[NewPhoto] = []
    old: dict[str, list[str]] = {}
    for photo in facts:
        path = there.find(photo)
        if path and path in shown:
            old.setdefault(shown[path].path.name, []).append(photo.path.name)
        else:
            new.append(
                NewPhoto(photo.path, path or PurePosixPath(photo.path.name), _by_clock(photo, zone), photo, bool(path))
            )
    return new, [
        f"{_names(names)} left out: {record} shows {'it' if len(names) == 1 else 'them'} already."
        for record, names in old.items()
    ]


def _names(names: Sequence[str]) -> str:
    return ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")


class _Originals:
    """The photos a build has, found by their bytes."""

    def __init__(self, build: Build) -> None:
        self.folder = build.photo_folder
        self.by_size: dict[int, list[PurePosixPath]] = {}
        for path in build.photos:
            self.by_size.setdefault((self.folder / path).stat().st_size, []).append(path)

    def find(self, photo: PhotoFacts) -> PurePosixPath | None:
        """Find the same bytes; an unused copy is as good as any other."""
        for path in self.by_size.get(photo.path.stat().st_size, []):
            mine = self.folder / path
            if mine.samefile(photo.path) or mine.read_bytes() == photo.path.read_bytes():
                return path
        return None


def _shown_by(build: Build) -> Mapping[PurePosixPath, Update]:
    """Say of each of the build's photos which record shows it first."""
    shown: dict[PurePosixPath, Update] = {}
    for update in build.updates:
        for entry in update.record.photos:
            for path in _paths_of(build, update.record, entry):
                shown.setdefault(path, update)
    return shown


def _paths_of(
    build: Build, record: StageRecord, entry: PhotoEntry | FolderEntry | TurntableEntry
) -> Iterable[PurePosixPath]:
    if isinstance(entry, PhotoEntry):
        return (entry.file,)
    return folder_rest(build, record, entry) if isinstance(entry, FolderEntry) else turntable_frames(build, entry)


def _placed(build: Build, new: Sequence[NewPhoto]) -> list[NewPhoto]:
    """
    Say where each photo will lie: in a folder of its date, under its own name.

    A folder that a record shows as a whole gets no new photos, since they would show up there too.
    """
    whole = {
        entry.folder if isinstance(entry, FolderEntry) else entry.turntable
        for update in build.updates
        for entry in update.record.photos
        if not isinstance(entry, PhotoEntry)
    }
    taken = {_key(path) for path in build.photos}
    placed = []
    for photo in new:
        if not photo.is_there:
            folder = next(name for name in _numbered(str(photo.taken.date())) if PurePosixPath(name) not in whole)
            name = _clean_name(photo.source.name)
            stem, suffix = PurePosixPath(name).stem, PurePosixPath(name).suffix
            path = next(
                path
                for numbered in _numbered(stem)
                if _key(path := PurePosixPath(folder, numbered + suffix)) not in taken
                and not (build.photo_folder / path).exists()
            )
            taken.add(_key(path))
            photo = replace(photo, path=path)
        placed.append(photo)
    return placed


def _key(path: PurePosixPath) -> str:
    """Compare names as a file system does that takes upper and lower case as one."""
    return unicodedata.normalize("NFC", str(path)).casefold()


def _numbered(name: str) -> Iterator[str]:
    """Give a name, then the same with -2, -3 and so on."""
    yield name
    number = 2
    while True:
        yield f"{name}-{number}"
        number += 1


def _clean_name(name: str) -> str:
    """Keep a file's name, but for signs that some file system or a record would not take."""
    name = re.sub(r'[\x00-\x1f\x7f\\/:*?"<>|]+', "-", unicodedata.normalize("NFC", name)).strip(" .")
    return name if PurePosixPath(name).suffix else f"photo.{name}"


def _with_views(build: Build, new: Sequence[NewPhoto], store: PictureStore) -> list[NewPhoto]:
    """Propose views, by the newest pictures of each; of several that look like one view only the nearest gets it."""
    files: dict[str, list[Path]] = {}
    for update in reversed(build.updates):
        for entry in update.record.photos:
            if isinstance(entry, PhotoEntry) and entry.view and len(files.get(entry.view, ())) < _EARLIER_PER_VIEW:
                files.setdefault(entry.view, []).append(build.photo_folder / entry.file)
    # A picture that cannot be read is the check's to report; here it is only one fewer to compare with.
    facts, _ = store.read_facts([path for paths in files.values() for path in paths])
    earlier = {view: [facts[path] for path in paths if path in facts] for view, paths in files.items()}
    if not earlier:
        return list(new)
    best: dict[str, tuple[float, int]] = {}
    for number, photo in enumerate(new):
        if proposed := propose_view(photo.facts, earlier):
            view, confidence = proposed
            best[view] = max(best.get(view, (-1.0, -1)), (confidence, number))
    views = {number: view for view, (_, number) in best.items()}
    return [replace(photo, view=views.get(number, "")) for number, photo in enumerate(new)]


# --- date, stage, names --------------------------------------------------------------------------


def _check_day(build: Build, day: date, *, is_given: bool) -> None:
    ordered = build.record.ordered
    if not ordered or day >= ordered:
        return
    if is_given:
        raise WritingError(
            f"{day} is before the build was ordered ({ordered}); correct --date, or ordered in build.yml."
        )
    raise WritingError(
        f"The photos were taken on {day}, before the build was ordered ({ordered}).\n"
        "If the camera's clock was wrong, give the date: --date YYYY-MM-DD; otherwise correct ordered in build.yml."
    )


def _written_date(build: Build, day: date, stage: str, last: datetime) -> str:
    """
    Write the record's date; with the time of the last photo where that day has a record of the stage already.

    Raises:
        WritingError: The other record has no time, so that the two could not be told apart.
    """
    others = [update for update in build.updates if update.day == day and update.record.stage == stage]
    if not others:
        return str(day)
    for update in others:
        clock = update.record.date.clock
        if clock is None or (last.date() == day and clock == last.time().replace(second=0, microsecond=0)):
            raise WritingError(
                f"{update.path.name} tells of {day} and the stage {build.stage_names[stage]} already.\n"
                f"To put the photos into it, add again with: --to {update.name}\n"
                f"Otherwise give another --stage or --date, or give that record a time of its own (date: {day} 09:30)."
            )
    return f"{day} {last:%H:%M}"


def _find_stage(build: Build, word: str) -> str:
    for stage in build.stages:
        if word.casefold() in {stage.id.casefold(), stage.name.casefold()}:
            return stage.id
    ids = [stage.id for stage in build.stages]
    guess = nearest(word, ids)
    hint = f"did you mean {guess}?" if guess else f"use one of: {', '.join(ids)}"
    raise WritingError(f'There is no stage of work "{word}"; {hint}')


def _stage_in_progress(build: Build, day: date) -> str:
    """Find the stage of the newest record up to that day, or the next one when all its work is done."""
    ids = [stage.id for stage in build.stages]
    updates = [update for update in build.updates if update.day <= day]
    if not updates:
        return ids[0]
    latest = updates[-1].record.stage
    shares: dict[str, Fraction] = {}
    for update in updates:
        shares.update({done.id: done.share for done in update.record.done})
    items = [item.id for item in build.record.work if item.stage == latest] if build.record.work else [latest]
    is_done = bool(items) and all(shares.get(item, Fraction(0)) == 1 for item in items)
    following = ids[ids.index(latest) + 1 :] if is_done else []
    return following[0] if following else latest


def _find_update(build: Build, word: str) -> Update:
    """
    Find a record by its name, with or without its ending and its folder.

    Raises:
        WritingError: There is none; names the nearest.
    """
    name = unicodedata.normalize("NFC", re.split(r"[\\/]", word)[-1]).removesuffix(".yml")
    for update in build.updates:
        if update.name.casefold() == name.casefold():
            return update
    names = [update.name for update in reversed(build.updates)]
    if not names:
        raise WritingError(f'There is no record "{word}": {build.record.name} has none yet. Leave --to out.')
    guess = nearest(name, names)
    hint = f"did you mean {guess}?" if guess else f"the newest is {names[0]}"
    raise WritingError(f'{build.record.name} has no record "{word}"; {hint}')


def _free_name(build: Build, wanted: str) -> str:
    taken = {name.casefold() for update in build.updates for name in (update.name, *update.record.formerly)}
    folder = build.folder / "stages"
    return next(
        name for name in _numbered(wanted) if name.casefold() not in taken and not (folder / f"{name}.yml").exists()
    )


def _free_title(build: Build, stage_name: str) -> str:
    titles = {update.record.title.casefold() for update in build.updates}
    if stage_name.casefold() not in titles:
        return stage_name
    return next(
        title for number in range(2, 10_000) if (title := f"{stage_name}, part {number}").casefold() not in titles
    )


# --- the record ----------------------------------------------------------------------------------


def _render_record(
    build: Build, written_date: str, stage: str, title: str, photos: Sequence[NewPhoto], schema: Sequence[str]
) -> str:
    stages = ", ".join(work_stage.id for work_stage in build.stages)
    lines = [
        *schema,
        "# Only words are left to write: after the colons, in the lines that end in one.",
        '# A text that has a colon and a space in it stands in "quotes".',
        "",
        line(f"date: {written_date}", "the page's date and its order"),
        line(f"stage: {stage}", f"one of: {stages}"),
        line(f"title: {scalar(title)}", "the page's heading, in your words"),
        line("summary:", "two or three sentences: what to tell a visitor first"),
        "",
        *_render_work(build, stage),
        line("photos:", "the walk round the model, in this order"),
        *_render_hints(build),
    ]
    lines += [
        *_render_entries(photos, 2, offers_callouts=True),
        line("# next:", "what comes next, and when to look again"),
        "#   text:",
        "#   date:",
    ]
    return "\n".join(lines) + "\n"


def _render_entries(photos: Sequence[NewPhoto], column: int, offers_callouts: bool) -> list[str]:
    """Give the entries of `photos:`, with their dashes at this column and an empty line after each."""
    dash, key = " " * column, " " * (column + 2)
    lines = []
    for number, photo in enumerate(photos):
        lines += [
            f"{dash}- file: {scalar(str(photo.path))}",
            line(f"{key}view: {scalar(photo.view)}", "proposed: it looks like earlier pictures; check it")
            if photo.view
            else f"{key}view:",
            f"{key}caption:",
            f"{key}alt:",
        ]
        if number == 0 and offers_callouts:
            lines += [
                line(f"{key}# callouts:", "places on this picture: across, then down, from 0 to 1"),
                f"{key}#   - at: [0.50, 0.30]",
                f"{key}#     text: What is to be seen there.",
            ]
        lines.append("")
    return lines


def _render_hints(build: Build) -> list[str]:
    if build.record.views:
        views = f"one of: {', '.join(build.record.views)}"
    else:
        views = "where it was taken from, such as port bow"
    return [
        f"  # view:    {views}.",
        "  #          The same words tie one viewpoint together through time. None: delete the line.",
        "  # caption: what it shows, in a sentence.",
        "  # alt:     the picture described for somebody who cannot see it.",
        "  # A picture you do not want: delete its lines. Another order: move them.",
        "",
    ]


def _render_work(build: Build, stage: str) -> list[str]:
    """Offer the work that is left, and a feature; as comments, since only the builder knows."""
    shares: dict[str, Fraction] = {}
    for update in build.updates:
        shares.update({done.id: done.share for done in update.record.done})
    items = [item.id for item in build.record.work if item.stage == stage] if build.record.work else [stage]
    left = [item for item in items if shares.get(item, Fraction(0)) < 1] or items[:1]
    area = build.record.areas[0] if build.record.areas else "Where it is"
    offered = [
        "# To use the lines below, take away the # in front.",
        line("# done:", "how far the work is now"),
    ]
    for item in left or [stage]:
        offered += [f"#   - id: {item}", "#     share: 50 %"]
    return [
        *offered,
        "# features:                   # what was worked on",
        "#   - id: port-sidelight",
        "#     name: Port sidelight",
        f"#     area: {area}",
        "#     change: What was done.",
        "#     state: begun            # begun, fitted, painted, finished",
        "",
    ]
