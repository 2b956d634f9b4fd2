"""Shows a moment as it is told at the desk; decides nothing."""

from __future__ import annotations

from django import template

from fittings.desk import told

register = template.Library()
register.filter("clock", told.clock_told)
register.filter("moment_told", told.moment_told)
