"""What is fuzzed, and each target's share of the processor time."""

from dataclasses import dataclass
from functools import partial
from importlib import import_module
from pathlib import Path

CORPUS = Path(__file__).parent / "corpus"


@dataclass(frozen=True)
class Target:
    """``where``: module and function. ``seconds``: of processor time, all together 600. ``longest``: bytes of an input."""

    where: str
    seconds: int
    longest: int = 8192
    routes: str = ""
    is_text: bool = True

    def load(self):
        """The function that takes an input."""
        module, name = self.where.split(".")
        found = import_module(f"fuzz.{module}")
        take = getattr(found, name)
        return partial(take, getattr(found, self.routes)) if self.routes else take


TARGETS = {
    "instrument": Target("files.instrument", 90, 65_000),
    "found": Target("files.found", 30),
    "survey": Target("files.survey", 40, 65_000),
    "readings": Target("files.readings", 40, 65_000),
    "log": Target("files.logged", 30, 65_000),
    "printer": Target("files.printer", 25),
    "settings": Target("files.cutter", 20),
    "rack-state": Target("files.rack_state", 20, 65_000),
    "rows": Target("texts.rows", 10, 65_000),
    "quantities": Target("texts.quantities", 30, 512),
    "set-keys": Target("texts.set_keys", 25, 2048),
    "packets": Target("texts.packets", 30, 2048),
    "orders": Target("texts.orders", 25, 2048),
    "wave": Target("sounds.wave", 45, 65_000, is_text=False),
    "page-drawing": Target("routes.of", 50, 65_000, "DRAWING"),
    "page-bench": Target("routes.of", 40, 65_000, "BENCH"),
    "page-shelf": Target("routes.of", 35, 65_000, "SHELF"),
    "page-requests": Target("routes.any_request", 15),
}


def kept(name):
    """The kept inputs of a target."""
    return sorted((CORPUS / name).iterdir())
