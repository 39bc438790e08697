"""What the command line says by itself; the other rooms say the rest."""

from jigs.faults import Option, Says


def json_and_csv() -> Says:
    """Two forms of one answer."""
    return Says((Option("json"), " and ", Option("csv"), " are both given"), "choose one", "two-forms")


def output_unwritable(reason: str) -> str:
    """Standard output that the system does not let us write."""
    return f"standard output: it cannot be written ({reason}); nothing is lost but these lines"
