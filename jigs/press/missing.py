"""What of an order could not be made, and why: the rest of it is made all the same."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from jigs.faults import Fault, Place, spoken


@dataclass(frozen=True)
class Missing:
    """Drawings that could not be made for one reason.

    ``names``: templates, or a template's format where its other files could be made, such as "gauge.pdf".
    """

    names: tuple[str, ...]
    why: Fault

    def as_data(self) -> dict[str, Any]:
        """As plain values that can be kept as JSON, without the instrument's file."""
        place = {key: value for key, value in asdict(self.why.place).items() if value and key != "source"}
        what, remedy = spoken(self.why.what), spoken(self.why.remedy)
        return {"names": list(self.names), "place": place, "what": what, "remedy": remedy, "code": self.why.code}

    @classmethod
    def from_data(cls, data: Mapping[str, Any], source: str) -> "Missing":
        """What `as_data` kept, of the instrument in the file ``source``."""
        place = Place(**{**data["place"], "source": source})
        return cls(tuple(data["names"]), Fault(place, data["what"], data["remedy"], data["code"]))


def by_reason(each: Iterable[Missing]) -> tuple[Missing, ...]:
    """Every reason once, with all that it prevents."""
    names: dict[Fault, dict[str, None]] = {}
    for one in each:
        names.setdefault(one.why, {}).update(dict.fromkeys(one.names))
    return tuple(Missing(tuple(of), why) for why, of in names.items())
