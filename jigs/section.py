"""What all tables of an instrument file have in common."""

from pydantic import BaseModel, ConfigDict


class Section(BaseModel):
    """A table of the file: unknown keys are faults, values are not guessed at."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False)
