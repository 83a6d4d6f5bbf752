"""Records as plain data, and that data as YAML in many styles."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from pathlib import PurePosixPath
from typing import Any

import yaml

from buildlog.figures.quantities import Quantity
from buildlog.figures.scale import Scale
from buildlog.figures.tolerance import Tolerance
from buildlog.records.fields import Box, Lab, Moment, Point
from buildlog.records.models import Record, SessionHours


def as_plain(value: Any) -> Any:
    """Turn a record into text, lists and mappings, as a person would have written it."""
    if isinstance(value, SessionHours):
        if value.session is not None:
            return str(value.session)
        return {spent.work: str(spent.hours) for spent in value.by_work}
    if isinstance(value, Record):
        fields = type(value).model_fields
        return {
            fields[name].alias or name: as_plain(getattr(value, name))
            for name in fields
            if name in value.model_fields_set
        }
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, (Quantity, Scale, Tolerance)):
        return value.text
    if isinstance(value, Moment):
        return f"{value.day}" + (f" {value.clock:%H:%M}" if value.clock else "")
    if isinstance(value, Fraction):
        return f"{Decimal(value.numerator) * 100 / Decimal(value.denominator)} %"
    if isinstance(value, (Point, Box, Lab)):
        return [repr(number) for number in value]
    if isinstance(value, (date, Decimal, PurePosixPath, int)):
        return str(value)
    if isinstance(value, tuple):
        return [as_plain(item) for item in value]
    assert isinstance(value, str), value
    return value


def as_yaml(data: Any, **style: Any) -> str:
    """Write plain data as YAML in a style."""
    return yaml.safe_dump(data, allow_unicode=True, sort_keys=False, **style)
