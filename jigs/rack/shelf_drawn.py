"""A shelf drawn as a rack, into a folder of its own on the shelf, and its drawings read back."""

from pathlib import Path

from jigs.faults import Place
from jigs.press.order import Order
from jigs.rack import shelf_words as words
from jigs.rack import state
from jigs.rack.files import Source, is_other
from jigs.rack.report import Report
from jigs.rack.run import RackOrder, make
from jigs.rack.shelf import names, read_regular

FOLDER = "drawn"
INDEX = "rack-index.pdf"
MOST_ARCHIVED_MIB = 200


def draw(shelf: Path, order: Order) -> Report:
    """Draw all instruments of a shelf, in this process, as `jigs rack` does. Raises what `make` raises."""
    folder = _own_folder(shelf)
    sources = [Source(shelf / file, named=False) for file in names(shelf)]
    places = tuple(str(source.path) for source in sources if not is_other(source))
    if not places:
        raise words.nothing_to_draw().refusal(Place())
    name = shelf.resolve().name
    return make(RackOrder(places, order, folder, name if name.isprintable() and name.strip() else None), jobs=1)


def index(shelf: Path) -> bytes:
    """The index of the drawings, to print. Raises `InputFaults`."""
    folder = _own_folder(shelf)
    known = state.remembered(folder).get(state.INDEX)
    try:
        if known is not None and INDEX in known.files:
            return read_regular(folder / INDEX, MOST_ARCHIVED_MIB << 20)
    except OSError:
        pass
    raise words.not_drawn().refusal(Place())


def is_drawn(shelf: Path) -> bool:
    """Whether the shelf was drawn."""
    folder = shelf / FOLDER
    return not folder.is_symlink() and (folder / INDEX).is_file()


def drawings(shelf: Path) -> dict[str, bytes]:
    """All files that the rack made of the instruments that are on the shelf, by name. Raises `InputFaults`."""
    folder, room = _own_folder(shelf), MOST_ARCHIVED_MIB << 20
    present = {state.of_instrument(Source(Path(file), named=False).stem) for file in names(shelf)} | {state.INDEX}
    records = [record for what, record in state.remembered(folder).items() if what in present]
    found: dict[str, bytes] = {}
    for name in sorted({name for record in records for name in record.files}):
        try:
            found[name] = read_regular(folder / name, room)
        except OSError:
            continue
        room -= len(found[name])
        if room < 0:
            raise words.too_many_drawings(MOST_ARCHIVED_MIB).refusal(Place())
    if not found:
        raise words.not_drawn().refusal(Place())
    return found


def _own_folder(shelf: Path) -> Path:
    """The folder of the drawings, or where it will be. Raises `InputFaults` for a link, which may lead anywhere."""
    folder = shelf / FOLDER
    if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
        raise words.drawn_elsewhere(FOLDER).refusal(Place())
    return folder
