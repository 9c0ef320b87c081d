"""What the page of exports says; plain words, no Streamlit and no computation."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from analytics import job
from analytics.papers.words import REASON_LABELS, count
from analytics.records.decided.decision import Decision, What
from analytics.records.history.accepted import Accepted
from analytics.records.history.changes import Changes
from analytics.records.mapping.document import HeaderChange
from analytics.records.mapping.fields import SHAPES, Field
from analytics.records.mapping.meanings import NOT_OURS
from analytics.records.mapping.model import DateOrder
from analytics.records.sorts import Effect
from dashboard.exports.draft import Draft, Refused
from dashboard.exports.sources import Source
from dashboard.words import plain

LEAD = (
    "From exports as they come to records that somebody has accepted: bring the files in, check "
    "how they are read, look at what was found, accept."
)
UPLOAD = "Drop exports here: text files, workbooks, both also packed"
UPLOAD_HELP = (
    "Any list the fleet has: boats, parts or jobs, stores issues, hours, haul-outs, inspections, "
    "prices. Headers may be called anything. The files stay on this machine, and nothing is "
    "written before you accept."
)
NO_FILES = (
    "No file is here yet. Drop the fleet's exports above. A list of jobs or of parts is needed; a "
    "list of boats, hours and haul-outs make the answers sharper."
)
HEADERS_CHANGED = (
    "Headers have changed, and nothing is read until somebody says what they are now: see the file "
    "with something to look at, above."
)
NO_FOLDER = (
    "There is no fleet folder to write into. Name one in the sidebar (on a narrow screen behind "
    "the arrows at the top left), and take out what is uploaded there; or take the two files below "
    "and put them beside the exports."
)
WITHOUT_FOLDER = "mapping.toml and decisions.toml as ZIP"
WAITING = "A file here waits to be mapped. **Bring in exports** proposes how it is read."
TO_EXPORTS = "The page **Bring in exports** takes files as they come and shows what is amiss."
NOT_ACCEPTED = "What was brought in there waits to be accepted."
UNACCEPTED = (
    "What was brought in or said on the page **Bring in exports** is not accepted yet: the numbers "
    "here are those of the records as saved."
)

EFFECTS: Mapping[Effect, str] = {
    "stops": "stops everything",
    "loses": "rows are left out",
    "shifts": "results may be off",
    "widens": "results less sure",
    "changes": "read other than written",
    "informs": "good to know",
}
ORDERS: Mapping[DateOrder, str] = {
    "": "as the file itself decides",
    "day": "day first",
    "month": "month first",
    "year": "year first",
}
AS_BUILT = "The first part in each place was fitted when the boat was built"
AS_BUILT_HELP = (
    "Tick it only where that is known: fleets that list what was changed, and never what was there "
    "from the beginning. The row needs the year of building, here or in a list of boats."
)
COLUMNS_LEAD = (
    "Each column of the file with some of its texts, and what it is read as. To change one, choose "
    "in its box; a thing that another column was read as goes over to this one."
)
NOT_READ = "not read"
SAID = "said"
LEAVE_NAME = "leave it as it is"

DECIDE: Mapping[What, str] = {
    "name": "say which boats are meant",
    "word": "say what the words mean",
    "cell": "correct a cell",
    "leave_out": "leave a row out",
    "keep": "keep it as it stands",
}
DECIDE_HELP = (
    "The files themselves are never changed. A decision is kept in decisions.toml and applied to "
    "every later export that holds the same name, word or row."
)
WORDS_EVERYWHERE = (
    "This holds in every file. Where offices mean different things by one word, say it for each "
    "file on its own, above."
)
WHOLE_CELL = "A name that is not shown stands in this cell: write the cell whole, without (name)."
WHO_FIRST = "Say who you are first: a name or initials are kept with each decision."


def field(one: Field, elsewhere: str) -> str:
    """A field in a list to choose from, and the column that it is taken from now."""
    return says(one.says) + (f" (now from {elsewhere})" if elsewhere else "")


def row_is(shape: str) -> str:
    """What a row of a shape is, in a list to choose from."""
    return f"a row is {SHAPES[shape].row_is}" if shape in SHAPES else "not read: left alone"


def word(one: str) -> str:
    """One of our words in a list to choose from."""
    if one == NOT_OURS:
        return "none of a shaft's parts"
    return REASON_LABELS.get(one, one.replace("_", " ")) if one else "nothing: as if blank"


def unsaid(guess: str) -> str:
    """That nobody has said what a text means."""
    return f"not said yet; perhaps {word(guess)}" if guess else "not said yet"


def text_means(text: str, times: int, header: str) -> str:
    """The label of a box in which the meaning of a text is chosen."""
    return f"{quoted(text)} ({count(times, 'time')} under {plain(header)}) means"


def quoted(text: str) -> str:
    """A text from a file at the beginning of a label, where figures or marks would begin a list."""
    return f"'{plain(text[:80])}'"


def says(text: str) -> str:
    """A phrase as the beginning of a line."""
    return text[:1].upper() + text[1:]


def source(one: Source, doubts: int) -> str:
    """A source in a list to choose from."""
    look = f", {count(doubts, 'thing')} to look at" if doubts else ""
    return f"{one.name}: {row_is(one.mapping.shape)}{look}"


def standing(one: Source) -> str:
    """Whether a way of reading is proposed, said or saved."""
    if one.saved:
        return "as saved"
    return "proposed" if one.proposed else "said here, not accepted yet"


def lacking(words: Iterable[str]) -> str:
    """What no column gives."""
    listed = "; ".join(words)
    return f"Still needed, before any row can be read: {listed}. Choose a column for it below."


def changed(change: HeaderChange) -> str:
    """What has changed in the headers, as Markdown."""
    lines = [
        f"The column **{plain(gone)}** is gone"
        + (f"; **{plain(near)}** may be its new name." if near else ".")
        for gone, near in change.missing.items()
    ]
    if new := [plain(one) for one in change.new if one not in change.missing.values()]:
        lines.append(f"New, and not read: {', '.join(f'**{one}**' for one in new)}.")
    return "Headers are not what they were. " + " ".join(lines)


def outcomes(fleet: job.Fleet) -> str:
    """How the lives ended."""
    counted = fleet.lives.table["outcome"].value_counts()
    return ", ".join(
        f"{number:,} {REASON_LABELS.get(str(name), str(name))}" for name, number in counted.items()
    )


def refused(files: Sequence[Refused]) -> str:
    """Files that were not taken."""
    return "Not taken: " + "; ".join(f"**{plain(one.name)}**: {one.why}" for one in files) + "."


def brought(number: int) -> str:
    """How many files wait."""
    return f"{count(number, 'file')} brought in, not yet in the folder:"


def replaces(names: Iterable[str]) -> str:
    """Which files of the folder would be written over."""
    return f"Write over {', '.join(map(plain, names))} in the folder: another file of that name"


def decided(decision: Decision) -> str:
    """A decision in a list to choose from."""
    match decision.what:
        case "name":
            told = f"the boat '{decision.found}' is '{decision.read_as}'"
        case "word":
            told = f"'{decision.found}' means '{decision.read_as}' as {decision.field}"
        case "cell":
            told = f"'{decision.found}' under {decision.field} is read as '{decision.read_as}'"
        case "leave_out":
            cells = ", ".join(cell for _, cell in decision.cells if cell)
            told = f"left out: {cells[:80]}"
        case "keep":
            told = f"kept as it stands: {decision.sort.replace('_', ' ')}"
    return f"{told} ({decision.said().removeprefix('decided').strip() or 'nobody named'})"


def of_all_alike(way: What, rows: int) -> str:
    """That a decision about a row is about others too."""
    told = "left out" if way == "leave_out" else "read so"
    return f"All {rows:,} rows with these cells are {told}: nothing tells one from the others."


def since(last: Accepted, found: Changes) -> str:
    """How many rows are new, changed and gone."""
    return (
        f"Since the exports accepted on {last.when:%Y-%m-%d %H:%M} UTC by {plain(last.who)}: "
        f"{found.same:,} rows the same, {found.new_told()}, {len(found.changed):,} changed, "
        f"{len(found.vanished):,} gone."
    )


def accepted(one: Accepted, written: Sequence[str]) -> str:
    """That it is done."""
    files = f" Written: {plain(', '.join(written))}." if written else ""
    return (
        f"Accepted by {plain(one.who)} on {one.when:%Y-%m-%d %H:%M} UTC.{files} Every row is kept "
        "in the folder 'accepted', so that later numbers lead back to it."
    )


def to_write(draft: Draft, mapping: bool, decisions: bool) -> str:
    """What accepting writes."""
    files = [count(len(draft.brought), "file")] if draft.brought else []
    files += ["mapping.toml"] * mapping + ["decisions.toml"] * decisions
    listed = f"{', '.join(files)} and " if files else ""
    return f"Accepting writes {listed}the folder 'accepted'."


def as_accepted(last: Accepted) -> str:
    """That nothing is left to accept."""
    return (
        f"These exports are those accepted on {last.when:%Y-%m-%d %H:%M} UTC by {plain(last.who)}."
    )
