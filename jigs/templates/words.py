"""What this room says when a template cannot be drawn or does not fit, and in its notes."""

from collections.abc import Iterable, Sequence

from jigs.faults import Key, Says, either, nearest

# ---- refusals


def needs_a_rim() -> Says:
    """The head template for an instrument that is not a banjo."""
    return Says("the head template is for banjos", "choose the top template or the fork", "template-for-banjos")


def rim_missing() -> Says:
    """The head template for a banjo whose rim was not measured."""
    what = "the head template needs the distance from fret 12 to the inside of the tension hoop"
    return Says(what, ("measure it, and fill in ", Key("rim", "fret_12_to_near_edge")), "rim-missing")


def needs_an_arched_top() -> Says:
    """The top template for a banjo."""
    what = "the top template is for mandolins and archtops"
    return Says(what, "for a banjo choose the head template or the fork", "template-for-arched-tops")


def no_moves() -> Says:
    """Strings for which the model has no moves."""
    what = "there is no table of moves: no bridge place makes these strings read that"
    return Says(what, "check note, gauge, core and scale", "moves-unknown")


# ---- templates and options, as the user writes them


def unknown_template(name: str, known: Iterable[str]) -> Says:
    """The name of no template."""
    return Says(f'unknown template "{name}"', nearest(name, known), "template-unknown")


def no_fret_number(text: str) -> Says:
    """Something else where a fret's number is meant."""
    return Says(f'"{text}" is not a fret number', "write a number, such as 15", "fret-unread")


def no_side(text: str, sides: Sequence[str]) -> Says:
    """Something else where a side of the rim is meant."""
    return Says(f'"{text}" is not a side of the rim', f"write {either(sides)}", "rim-side-unknown")


def idle(users: Sequence[str]) -> Says:
    """An option that no chosen template uses."""
    listed = " and ".join(part for part in (", ".join(users[:-1]), users[-1]) if part)
    return Says("this option has no effect here", f"it applies to {listed}", "option-idle")
