"""Addresses of the desk: the day and bookings."""

from django.urls import path

import salon.common.addresses  # noqa: F401  # registers <reference:…>
from fittings.desk import (
    appointment_views,
    awaited_views,
    board,
    board_units,
    board_week,
    booking_views,
    free_times_views,
    series_views,
    walk_in_views,
)

urlpatterns = [
    path("today/", board.today, name="today"),
    path("today/board/", board.today_board, name="today-board"),
    path("today/board/<reference:reference>/move/", board.board_move, name="board-move"),
    path("today/board/<reference:reference>/mark/", board.board_mark, name="board-mark"),
    path("week/", board_week.week, name="week"),
    path("appointments/new/", booking_views.appointment_new, name="appointment-new"),
    path("appointments/walk-in/", walk_in_views.walk_in, name="walk-in"),
    path("appointments/series/", series_views.appointment_series, name="appointment-series"),
    path("appointments/<reference:reference>/", appointment_views.appointment_page, name="appointment"),
    path("appointments/<reference:reference>/move/", appointment_views.appointment_move, name="appointment-move"),
    path("appointments/<reference:reference>/cancel/", appointment_views.appointment_cancel, name="appointment-cancel"),
    path("appointments/<reference:reference>/mark/", appointment_views.appointment_mark, name="appointment-mark"),
    path(
        "appointments/<reference:reference>/deposit/", appointment_views.appointment_deposit, name="appointment-deposit"
    ),
    path("appointments/<reference:reference>/units/", board_units.appointment_units, name="appointment-units"),
    path("free-times/", free_times_views.free_times, name="free-times"),
    path("awaited-pieces/", awaited_views.awaited_pieces, name="awaited-pieces"),
    path("awaited-pieces/<int:pk>/", awaited_views.awaited_piece_mark, name="awaited-piece-mark"),
]
