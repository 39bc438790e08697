"""The page's other forms, each with its fields: a fault at ``Place(table=FORM, key=KEY)`` is shown at the field FORM.KEY."""

from collections.abc import Mapping

from jigs.page.form.fields import Field

FORMS: Mapping[str, tuple[Field, ...]] = {}
"""Every form besides the instrument's, the drawing's and the readings'."""

LABELS = {f"{form}.{field.key}": field.label for form, fields in FORMS.items() for field in fields}
"""What each field is called."""
