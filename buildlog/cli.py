"""The command `buildlog`: it parses, calls and prints."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, Literal, NoReturn, TypeVar

import click

# Everything else is imported where it is used, so that `buildlog --help` answers at once.
if TYPE_CHECKING:
    from buildlog.figures.scale import Scale, ScalingLaw
    from buildlog.place import Place
    from buildlog.records.loading import Loaded
    from buildlog.records.problems import Problem
    from buildlog.records.workshop import Build, Workshop
    from buildlog.writing.adding import NewRecord

F = TypeVar("F", bound=Callable[..., Any])

_MISTAKE = 1
_STOPPED = 130
_SAY_STOPPED = ("check", "site")
"""Commands after which one may wonder whether the site has suffered by Ctrl-C."""


class _Commands(click.Group):
    """Commands in the order of a builder's day; a person's mistake is said in words and ends with status 1."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except KeyboardInterrupt:
            if sys.stderr.isatty():
                click.echo(err=True)  # the terminal has put ^C on the line
            if ctx.invoked_subcommand in _SAY_STOPPED:
                click.echo("Stopped; the last good site is as it was.", err=True)
            ctx.exit(_STOPPED)
        except Exception as error:
            if message := _said_of(error):
                _refuse(message)
            raise

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as error:
            from difflib import get_close_matches

            guess = get_close_matches(args[0], self.commands, n=1)
            raise click.UsageError(
                f'There is no command "{args[0]}"{f"; did you mean {guess[0]}?" if guess else "."}', ctx
            ) from error


def _said_of(error: Exception) -> str:
    """Say what a person has to know of an error of theirs; empty for any other, which keeps its traceback."""
    from buildlog.place import PlaceError
    from buildlog.writing import WritingError

    if isinstance(error, (PlaceError, WritingError)):
        return str(error)
    if "buildlog.photos.store" in sys.modules:
        from buildlog.photos.store import StoreError

        if isinstance(error, StoreError):
            return str(error)
    if "buildlog.publish.putting" in sys.modules:
        from buildlog.publish.putting import SiteError

        if isinstance(error, SiteError):
            return str(error)
    return ""


def _refuse(message: str) -> NoReturn:
    from buildlog.console import err

    output = err()
    first, *rest = message.splitlines()
    output.say(("Error: ", "bold red"), first)
    for line in rest:
        output.say(line)
    raise click.exceptions.Exit(_MISTAKE)


class _Named(click.Path):
    """A path that was given a name: an empty one, as of a variable that is not set, would mean the current folder."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if value == "":
            self.fail("The name is empty; give a file or a folder.", param, ctx)
        return super().convert(value, param, ctx)


_NAMED = _Named(path_type=Path)


def _in_workshop(command: F) -> F:
    return click.option(
        "--workshop",
        "-w",
        metavar="FOLDER",
        type=_NAMED,
        help="The workshop's folder. Left out, the one you are in.",
    )(command)


def _with_example(*lines: str) -> str:
    return "\b\nExamples:\n" + "\n".join(f"  {line}" for line in lines)


@click.group(
    cls=_Commands,
    context_settings={"help_option_names": ["--help", "-h"], "max_content_width": 100},
    epilog=_with_example(
        'buildlog start my-workshop --name "Tern Quay Models"',
        "cd my-workshop",
        "buildlog add first-build ~/Pictures/tonight",
        "buildlog preview",
        "buildlog site",
    ),
)
@click.version_option(
    None, "--version", package_name="buildlog-site", prog_name="buildlog", message="%(prog)s %(version)s"
)
def cli() -> None:
    """Turn records and photos from the bench into a site: progress pages, build histories and a catalogue.

    Each command explains itself: buildlog COMMAND --help
    """


# --- start ---------------------------------------------------------------------------------------


@cli.command(
    short_help="Begin a workshop in a new folder.",
    epilog=_with_example(
        "buildlog start my-workshop",
        'buildlog start my-workshop --name "Tern Quay Models" --build Heron --scale 1:48',
    ),
)
@click.argument("folder", type=_NAMED)
@click.option("--name", default="", help="The workshop's name. Left out, the folder's.")
@click.option("--contact", metavar="MAIL", default="", help='Address that "Ask about this" writes to; it is published.')
@click.option("--build", default="First build", show_default=True, help="The name of the first build.")
@click.option("--scale", default="1:24", show_default=True, help="Its scale.")
def start(folder: Path, name: str, contact: str, build: str, scale: str) -> None:
    """Begin a workshop in FOLDER: explained records, a sample page and the site's settings.

    FOLDER must be new or empty. The site can be made at once; then put your own words in place of the sample's.
    """
    from buildlog.console import out
    from buildlog.writing.starting import start_workshop

    started = start_workshop(folder, name=name, contact=contact, build=build, scale=scale, today=_today())
    output = out()
    output.say("The workshop is in ", (f"{folder}", "bold"), ". Next:")
    output.blank()
    _commands(
        output,
        (f"cd {_quoted(folder)}", ""),
        ("buildlog preview", "look at the sample page in your browser"),
        (f"buildlog add {started.build} PHOTO...", "your own first update, out of photos"),
    )
    output.blank()
    output.say("Then write your own words, in these two files. Each line in them is explained.")
    output.blank()
    for name in ("content/workshop.yml", f"content/builds/{started.build}/build.yml"):
        output.say((f"  {name}", "bold"))


# --- commission ----------------------------------------------------------------------------------


@cli.command(
    short_help="Begin another build.",
    epilog=_with_example("buildlog commission Heron", 'buildlog commission "Lady Anne" --scale 1:48 --kind vessel'),
)
@click.argument("name")
@click.option("--scale", default="1:24", show_default=True, help="The model's scale.")
@click.option("--kind", default="", help="The kind of subject, such as vessel; the catalogue groups by it.")
@_in_workshop
def commission(name: str, scale: str, kind: str, workshop: Path | None) -> None:
    """Begin another build: an explained build.yml for the model called NAME.

    Nobody sees it on the site until you set its audience.
    """
    from buildlog.console import out
    from buildlog.writing.starting import refresh_schemas, write_build

    place, records, _ = _read(workshop)
    path = write_build(records, name, root=place.root, scale=scale, kind=kind)
    refresh_schemas(place.root)
    output = out()
    output.say("The build is begun. Say what it is a model of in ", (_shown(path), "bold"), ".")
    output.say("It is a draft: the site does not show it until its audience there is set to public. Next:")
    output.blank()
    _commands(
        output,
        ("buildlog preview", "look at it; drafts are shown there, marked as such"),
        (f"buildlog add {path.parent.name} PHOTO...", "its first update, out of photos"),
    )


# --- add -----------------------------------------------------------------------------------------


@cli.command(
    short_help="Begin an update of a build out of photos.",
    epilog=_with_example(
        "buildlog add corriemoor ~/Pictures/tonight",
        'buildlog add corriemoor IMG_1026.jpg --stage markings --title "Load line"',
        "buildlog add corriemoor IMG_1041.jpg --to 2026-08-15-markings",
        "buildlog add corriemoor ~/Pictures/tonight --dry-run",
    ),
)
@click.argument("build")
@click.argument("photos", metavar="PHOTO...", nargs=-1, required=True, type=_NAMED)
@click.option("--date", "day", metavar="DATE", help="The record's date, as 2026-08-15. Left out, the photos'.")
@click.option("--stage", help="The stage of work. Left out, the one in progress.")
@click.option("--title", help="The page's heading. Left out, the stage's name.")
@click.option("--to", "record", metavar="RECORD", help="Put the photos into this record instead of a new one.")
@click.option("--dry-run", is_flag=True, help="Say what would be done, and show what is written; write nothing.")
@_in_workshop
def add(
    build: str,
    photos: Sequence[Path],
    day: str | None,
    stage: str | None,
    title: str | None,
    record: str | None,
    dry_run: bool,
    workshop: Path | None,
) -> None:
    """Begin an update of BUILD out of photos, so that only words are left to write.

    PHOTO is a picture or a folder of pictures. They are copied to the build's photos, into a folder of the day they
    were taken, and a dated record is written that names each, ready for your words. Nothing is ever overwritten, and
    pictures that an earlier record shows are left out.

    With --to RECORD they are put at the end of the photos of a record that is there, such as 2026-08-15-markings;
    nothing else in it changes.
    """
    from buildlog.console import err, progress
    from buildlog.photos.store import PictureStore
    from buildlog.writing.adding import find_build, plan_addition, plan_record, write_record
    from buildlog.writing.starting import refresh_schemas

    if record is not None and (day or stage or title):
        raise click.UsageError(
            "The record after --to has its date, stage and title; leave --date, --stage, --title out."
        )
    wanted_day = _read_day(day) if day else None
    place, records, _ = _read(workshop)
    to_build = find_build(records, build)
    apart_from = (place.site, place.store)
    with PictureStore(place.store) as store, progress(err(), "Reading photos") as step:
        if record is not None:
            new = plan_addition(records, to_build, record, photos, store, apart_from=apart_from, on_progress=step)
        else:
            new = plan_record(
                records,
                to_build,
                photos,
                store,
                root=place.root,
                apart_from=apart_from,
                day=wanted_day,
                stage=stage,
                title=title,
                on_progress=step,
            )
    _tell_of_photos(new.refused, (*new.remarks, *_of_the_day(new, _today())))
    if dry_run:
        _show_plan(new)
        return
    with progress(err(), "Copying photos") as step:
        write_record(new, step)
    refresh_schemas(place.root)
    if new.to_paste:
        _ask_to_paste(new)
    _tell_of_record(new)


def _of_the_day(new: NewRecord, today: date) -> tuple[str, ...]:
    """Doubt a new record of a day that has not come yet."""
    if new.before is not None or new.day <= today:
        return ()
    return (f"The record's date, {new.day}, is still to come; correct it in the record if that is a slip.",)


def _show_plan(new: NewRecord) -> None:
    """Show what would be written."""
    from buildlog.console import err

    copied = sum(not photo.is_there for photo in new.photos)
    path = _shown(new.path)
    if new.before is None:
        said = f"This would be {path}, with {_photos(copied)} copied in:"
    elif new.to_paste:
        said = f"{path} would not change, since {new.to_paste}; these lines would be yours to paste:"
    else:
        said = f"These lines would go to the end of the photos in {path}, with {_photos(copied)} copied in:"
    err().say(f"Nothing is written. {said}")
    err().blank()
    click.echo(new.text if new.before is None else new.entries, nl=False)


def _ask_to_paste(new: NewRecord) -> NoReturn:
    """Give the lines that could not be put into a record safely."""
    from buildlog.console import err

    err().say(
        f"{_photos(len(new.photos))} copied in, but {_shown(new.path)} is as it was, since {new.to_paste}. "
        "Paste these lines where its photos are listed, below photos: and each photo with a dash of its own:"
    )
    err().blank()
    click.echo(new.entries, nl=False)
    raise click.exceptions.Exit(_MISTAKE)


def _tell_of_record(new: NewRecord) -> None:
    """Say where the photos are, and what is left to write."""
    from buildlog.console import out

    output = out()
    where = "a new record" if new.before is None else f"{new.path.name}, at the end of its photos"
    output.say(f"{_photos(len(new.photos))} in {where}: {new.build.record.name}, {new.stage}, {_day(new.day)}.")
    output.blank()
    output.say("Write your words in ", (_shown(new.path), "bold"))
    proposed = sum(bool(photo.view) for photo in new.photos)
    if new.before is None:
        output.say("  for the page:          its title and summary")
    output.say("  for each picture:      view, caption and alt")
    if proposed:
        output.say(f"  view is proposed for:  {proposed} of {len(new.photos)}; check it")
    output.blank()
    output.say("Then look at it: ", ("buildlog preview", "bold"))
    _tell_who_sees(output, new.build.record.audience.value, new.build.slug)


def _tell_who_sees(output: Any, audience: str, build: str) -> None:
    """Say of a build that is no public one that the site does not show it."""
    if audience == "public":
        return
    output.say(
        f"The site does not show {build} while audience in its build.yml is {audience}; write public there to publish "
        "it. The preview shows it, marked as such."
    )


# --- check ---------------------------------------------------------------------------------------


@cli.command(
    short_help="Check every record and photo.",
    epilog=_with_example("buildlog check", "buildlog check --strict", "buildlog check --json"),
)
@click.option("--json", "as_json", is_flag=True, help="Print a list of objects for an editor.")
@click.option("--strict", is_flag=True, help="Let warnings fail the check too.")
@_in_workshop
def check(as_json: bool, strict: bool, workshop: Path | None) -> None:
    """Check every record and photo without making the site.

    All mistakes are shown at once. The exit status is 1 if there is an error, otherwise 0. What is not wrong but could
    be added, such as a claim's source, is listed at the end and never fails the check.
    """
    from buildlog.console import count, err, out, problems_as_json, progress, show_problems, show_remarks, summary_of
    from buildlog.photos.store import PictureStore
    from buildlog.place import find_place
    from buildlog.publish.checking import check_photos

    place = find_place(workshop)
    loaded = _load(place)
    problems = list(loaded.problems)
    notes: tuple[str, ...] = ()
    number = 0
    if loaded.builds:
        with PictureStore(place.store) as store, progress(err(), "Reading photos") as step:
            of_photos = check_photos(place.content, loaded.builds, store, step)
        problems = sorted([*problems, *of_photos.problems])
        notes, number = (*of_photos.notes, *_of_clients(loaded.builds)), of_photos.number
    errors = sum(problem.is_error for problem in problems)
    failed = bool(errors or (strict and problems))
    output = out()
    if as_json:
        click.echo(problems_as_json([*problems, *loaded.remarks], place.content))
    else:
        show_problems(output, problems, place.content)
        for note in notes:
            output.say(note)
        show_remarks(output, loaded.remarks, place.content)
        if problems:
            output.say((f"{summary_of(problems)}. ", "bold"), _after_check(errors, len(problems) - errors, strict))
        else:
            assert loaded.workshop is not None  # noqa: S101 - without problems there is a workshop
            output.say(("All is well: ", "bold"), f"{_contents(loaded.workshop)}, {count(number, 'picture')}.")
            output.say(
                "Next: ",
                ("buildlog preview", "bold"),
                " to look at it, ",
                ("buildlog site", "bold"),
                " to make the site.",
            )
    if failed:
        raise click.exceptions.Exit(_MISTAKE)


# --- site ----------------------------------------------------------------------------------------


@cli.command(
    short_help="Check everything and make the site.", epilog=_with_example("buildlog site", "buildlog site --strict")
)
@click.option("--strict", is_flag=True, help="Let warnings stop the run.")
@click.option("--verify", is_flag=True, help="Read every photo whole, to find one changed behind its size and time.")
@_in_workshop
def site(strict: bool, verify: bool, workshop: Path | None) -> None:
    """Check everything and make the site.

    The site is put in place only when all of it is made: after a mistake the last good one is still there.
    """
    from time import monotonic

    from buildlog.console import err, in_words, out, progress
    from buildlog.place import find_place
    from buildlog.records.problems import RecordError

    place = find_place(workshop)
    began = monotonic()
    output, errors = out(), err()
    try:
        with progress(errors, "Making pictures") as step:
            folder = _generator().make(
                place.settings, strict=strict, verify=verify, on_progress=step, on_line=errors.say
            )
    except RecordError as error:
        _refuse_records(place, error.problems)
    output.say("The site is in ", (_shown(folder), "bold"), f", made in {in_words(monotonic() - began)}.")
    output.blank()
    output.say("To look at it: ", ("buildlog preview", "bold"))
    output.say(f"To publish it: the folder {_shown(folder)} can be copied to any web server.")


# --- tidy ----------------------------------------------------------------------------------------


@cli.command(short_help="Remove made pictures that no record shows.", epilog=_with_example("buildlog tidy"))
@_in_workshop
def tidy(workshop: Path | None) -> None:
    """Remove made pictures that no record shows any more.

    Only the store of made pictures is touched: never a photo, a record or the site. What is missed is made again.
    """
    from buildlog.console import count, err, out, progress
    from buildlog.place import find_place
    from buildlog.publish.tidying import tidy_store

    place = find_place(workshop)
    loaded = _load(place)
    if loaded.workshop is None:
        _refuse_records(place, loaded.problems)
    with progress(err(), "Looking through pictures") as step:
        tidied = tidy_store(loaded.workshop, place.store, step)
    if tidied.files:
        out().say(f"{count(tidied.files, 'file')} removed, {tidied.bytes / 1e6:.1f} MB.")
    else:
        out().say("Nothing to remove: every made picture is in use.")


# --- preview -------------------------------------------------------------------------------------


@cli.command(
    short_help="Look at the site while you write.",
    epilog=_with_example("buildlog preview", "buildlog preview --no-open --address 8080"),
)
@click.option(
    "--address", default="127.0.0.1:8000", show_default=True, help="Where to serve it: host and port, or a port alone."
)
@click.option("--open/--no-open", "open_browser", default=True, show_default=True, help="Open it in the browser.")
@_in_workshop
def preview(address: str, open_browser: bool, workshop: Path | None) -> None:
    """Show the site on this machine, and make it anew whenever a record or a photo changes.

    A mistake in a record is said here; the last good pages stay to be seen until it is mended. Ctrl-C ends it.
    """
    from buildlog.console import err
    from buildlog.place import find_place
    from buildlog.publish.address import check_free, read_address
    from buildlog.records.problems import RecordError

    place = find_place(workshop)
    check_free(*read_address(address))
    err().say("Making the pages; they are then served until you press Ctrl-C.")
    try:
        _generator().serve(place.settings, address=address, open_browser=open_browser, on_line=err().say)
    except RecordError as error:
        _refuse_records(place, error.problems)


# --- progress ------------------------------------------------------------------------------------


@cli.command(
    short_help="Say where a build stands.",
    epilog=_with_example("buildlog progress corriemoor", "buildlog progress corriemoor --json"),
)
@click.argument("build")
@click.option(
    "--on", "day", metavar="DATE", help="Tell it from this day, as 2026-08-15. Left out, the newest record's."
)
@click.option("--json", "as_json", is_flag=True, help="Print one object for another program.")
@_in_workshop
def progress(build: str, day: str | None, as_json: bool, workshop: Path | None) -> None:
    """Say where BUILD stands: hours planned, done and spent, and when it is likely to be finished.

    These are the builder's own figures. Nothing of them is published but the forecast, to those that shares in
    workshop.yml lets see it.
    """
    from buildlog.bench import build_progress
    from buildlog.bench_report import progress_as_json, progress_lines
    from buildlog.writing.adding import find_build

    wanted_day = _read_day(day, "--on") if day else None
    _, records, _ = _read(workshop)
    found = build_progress(find_build(records, build), records, as_of=wanted_day)
    _print_lines(progress_as_json(found) if as_json else progress_lines(found))


# --- estimate ------------------------------------------------------------------------------------


@cli.command(
    short_help="Estimate the hours of a commission.",
    epilog=_with_example(
        "buildlog estimate --kind vessel --scale 1:24",
        'buildlog estimate --kind vessel --scale 1:48 --basis "hull moulding"',
    ),
)
@click.option("--kind", required=True, help="The kind of subject, such as vessel.")
@click.option("--scale", required=True, help="The new model's scale, such as 1:24.")
@click.option("--basis", default="", help="What it is made from; finished builds made from the same count double.")
@click.option("--json", "as_json", is_flag=True, help="Print one object for another program.")
@_in_workshop
def estimate(kind: str, scale: str, basis: str, as_json: bool, workshop: Path | None) -> None:
    """Estimate the hours of a new commission from finished builds of its kind, stage by stage."""
    from buildlog.bench import estimate_commission
    from buildlog.bench_report import estimate_as_json, estimate_lines, refusal
    from buildlog.figures.scale import parse_scale

    try:
        wanted = parse_scale(scale)
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint="--scale") from None
    _, records, _ = _read(workshop)
    found = estimate_commission(records, kind, wanted, basis)
    if as_json:
        _print_lines(estimate_as_json(found))
    elif found.estimate:
        _print_lines(estimate_lines(found))
    if not found.estimate:
        _refuse(refusal(found))


# --- scale ---------------------------------------------------------------------------------------


@cli.command(
    short_help="Work out sizes at a scale.",
    epilog=_with_example(
        'buildlog scale 1:24 "7 ft 6 in"',
        'buildlog scale "1/2 in = 1 ft" "38 mm" --from-model',
        'buildlog scale 1:24 "11 kn" --as speed',
        "buildlog scale 1:24 --file sizes.txt --csv",
    ),
)
@click.argument("scale")
@click.argument("size", metavar="[SIZE]", nargs=-1)
@click.option("--from-model", is_flag=True, help="The size is the model's; give the full size.")
@click.option(
    "--as",
    "law",
    type=click.Choice(["length", "area", "volume", "mass", "speed", "time"]),
    help="How it scales. Left out, a length, an area or a volume by itself; speed and time go by Froude's law.",
)
@click.option(
    "--units",
    type=click.Choice(["metric", "imperial"]),
    default="metric",
    show_default=True,
    help="Whose units come first; both are shown.",
)
@click.option(
    "--file", "source", metavar="FILE", type=click.File("rb"), help="Read sizes from here; - is what is piped in."
)
@click.option("--csv", "as_csv", is_flag=True, help="Print the table as comma-separated values.")
def scale(
    scale: str,
    size: Sequence[str],
    from_model: bool,
    law: str | None,
    units: Literal["metric", "imperial"],
    source: IO[bytes] | None,
    as_csv: bool,
) -> None:
    """Work out what SIZE is at SCALE, rounded as on the pages.

    SIZE is written as people write it: 28.30 m, 7 ft 6 in, 3/8 in, 12 thou, 310 t, 11 kn. Without SIZE, sizes are read
    line by line from a file or from what is piped in, and a table is printed; empty lines and what follows a # are
    passed over. A line that cannot be read is named, the others are answered, and the command ends with status 1.
    """
    from buildlog.figures.scale import ScalingLaw, parse_scale
    from buildlog.scale_report import in_one_line, scaled

    try:
        at = parse_scale(scale)
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint="SCALE") from None
    by = ScalingLaw(law) if law else None
    if not size:
        _scale_lines(source or sys.stdin.buffer, at, by, units, from_model=from_model, as_csv=as_csv)
        return
    if source or as_csv:
        raise click.UsageError("Give a SIZE, or sizes from a file; --file and --csv are for a file.")
    try:
        answer = scaled(" ".join(size), at, by, units, from_model=from_model)
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint="SIZE") from None
    click.echo(in_one_line(answer, at, from_model=from_model))


def _scale_lines(
    source: IO[bytes],
    at: Scale,
    by: ScalingLaw | None,
    units: Literal["metric", "imperial"],
    *,
    from_model: bool,
    as_csv: bool,
) -> None:
    """Answer each line of a file: the table to one stream, what cannot be read to the other."""
    import csv

    from buildlog.console import err
    from buildlog.scale_report import CSV_HEAD, csv_row, scaled, table_lines

    if source.isatty():
        err().say("Write a size on each line; end with Ctrl-D.")
    writer = csv.writer(sys.stdout, lineterminator="\n") if as_csv else None
    if writer:
        writer.writerow(CSV_HEAD)
    name = getattr(source, "name", "")
    place = f"{name}:" if isinstance(name, str) and name not in ("", "-", "<stdin>") else "line "
    answers = []
    wrong = 0
    for number, line in enumerate(source, start=1):
        text = line.decode("utf-8-sig", errors="replace").partition("#")[0].strip()
        if not text:
            continue
        try:
            answer = scaled(text, at, by, units, from_model=from_model)
        except ValueError as error:
            wrong += 1
            err().fixed((f"{place}{number}: ", "bold"), str(error))
            continue
        if writer:
            writer.writerow(csv_row(answer))
        else:
            answers.append(answer)
    if answers:
        _print_lines(table_lines(answers, at))
    if wrong:
        raise click.exceptions.Exit(_MISTAKE)
    if not (answers or writer):
        _refuse("There is no size to work out. Write one after the scale, or one on each line of a file.")


# --- what the commands share ---------------------------------------------------------------------


def _today() -> date:
    return datetime.now().astimezone().date()


def _load(place: Place) -> Loaded:
    from buildlog.records.loading import read_workshop

    return read_workshop(place.content)


def _read(folder: Path | None) -> tuple[Place, Workshop, tuple[Problem, ...]]:
    """Read the records; with an error among them, show the errors and end."""
    from buildlog.place import find_place

    place = find_place(folder)
    loaded = _load(place)
    if loaded.workshop is None:
        _refuse_records(place, loaded.problems)
    return place, loaded.workshop, loaded.problems


def _refuse_records(place: Place, problems: Sequence[Problem]) -> NoReturn:
    from buildlog.console import err, show_problems, summary_of

    output = err()
    show_problems(output, problems, place.content)
    output.say((f"{summary_of(problems)}. ", "bold"), "Nothing was written. Mend the errors and try again.")
    raise click.exceptions.Exit(_MISTAKE)


def _generator() -> Any:
    """Find what makes the site; the core knows it by its entry point alone."""
    from importlib.metadata import entry_points

    for entry in entry_points(group="buildlog.generator"):
        return entry.load()
    _refuse("What makes the site is not installed. Install the tool again, from its folder: pip install .")


def _print_lines(lines: str | Iterable[tuple[str, bool]]) -> None:
    """Print a text as it is, or lines with headings among them; none of them is wrapped."""
    from buildlog.console import out

    if isinstance(lines, str):
        click.echo(lines)
        return
    output = out()
    for text, is_heading in lines:
        output.fixed((text, "bold") if is_heading else text)


def _read_day(text: str, option: str = "--date") -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise click.BadParameter(
            f'"{text}" is not a date; write year-month-day, such as 2026-08-15.', param_hint=option
        ) from None


def _of_clients(builds: Iterable[Build]) -> tuple[str, ...]:
    """Say what this version does with builds that are for a client alone."""
    slugs = [build.slug for build in builds if build.record.audience.value == "client"]
    if not slugs:
        return ()
    some = ", ".join(slugs[:3]) + (f" and {len(slugs) - 3} more" if len(slugs) > 3 else "")
    return (f"Kept off the public site, for client pages, which a later version makes: {some}.",)


def _after_check(errors: int, warnings: int, strict: bool) -> str:
    if errors or strict:
        return "Mend " + ("it" if errors + warnings == 1 else "them") + " and check again: buildlog check"
    return "Warnings stop nothing. To make the site: buildlog site"


def _contents(workshop: Workshop) -> str:
    from buildlog.console import count

    updates = sum(len(build.updates) for build in workshop.builds)
    return f"{count(len(workshop.builds), 'build')}, {count(updates, 'record')}"


def _tell_of_photos(refused: Sequence[Exception], remarks: Sequence[str]) -> None:
    from buildlog.console import err

    output = err()
    for error in refused:
        output.say(("Left out: ", "bold red"), str(error))
    for remark in remarks:
        output.say(("Note: ", "bold yellow"), remark)
    if refused or remarks:
        output.blank()


def _photos(number: int) -> str:
    from buildlog.console import count

    return count(number, "photo")


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"


def _shown(path: Path) -> str:
    """Give a path as short as it can be typed from here."""
    try:
        return str(path.absolute().relative_to(Path.cwd()))
    except ValueError:
        return str(path)


def _quoted(path: Path) -> str:
    return f'"{path}"' if " " in str(path) else str(path)


def _commands(output: Any, *rows: tuple[str, str]) -> None:
    """Show commands to type, and what each is for."""
    width = max(len(command) for command, _ in rows) + 3
    for command, purpose in rows:
        output.say((f"  {command:<{width}}", "bold"), purpose)


def main() -> None:
    """Run the command; what a terminal's encoding cannot show is shown as a question mark."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    cli.main(prog_name="buildlog")
