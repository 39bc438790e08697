"""How a key of the instrument file is declared, once: its type, its bounds, and what people read about it."""

from typing import Any

from pydantic import Field


def key(
    label: str, hint: str = "", *, example: str, unit: str = "", within: str = "", empty: str = "", **rules: Any
) -> Any:
    """A key of a table. The page's form and `jigs.instrument.reference` show what is written here.

    ``label``: its name on the page. ``hint``: what it is, or how to measure it. ``example``: a value, as the file has it.
    ``unit`` and ``within``: unit and bounds, where its type does not say them. ``empty``: what counts without the key,
    where that is not simply its default. ``rules``: pydantic's own, as default, ge and le.
    """
    shown: dict[str, Any] = {"unit": unit, "within": within, "empty": empty}
    return Field(title=label, description=hint, examples=[example], json_schema_extra=shown, **rules)
