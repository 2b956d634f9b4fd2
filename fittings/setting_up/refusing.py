"""What the forms that set up the salon share with those over other deeds."""

from salon.common.refusing import DATE, TIME, RefusingForm, TickedRows

__all__ = ["DATE", "TIME", "RefusingForm", "TickedRows"]
