"""Deeds of orders that take more than rows and plain values, told by rows and plain values alone."""

from django.utils.timezone import localdate

from fittings.models import AwaitedPiece
from fittings.ordered_in import (
    Arrived,
    awaited_no_longer_wanted,
    close,
    drop,
    expect,
    order_specially,
    send,
    take_in,
    take_out,
)
from pieces.models import OrderLine, Variant


def parcel(*, order_line, by, at, count=1, already=None):
    arrived = [Arrived(order_line, count, already)]
    take_in(order=order_line.order, arrived=arrived, received_on=localdate(at), by=by, at=at)


def whole_parcel(*, order_line, backwards, by, at):
    """All that is still to come with the order of that line."""
    lines = OrderLine.objects.still_to_come().filter(order=order_line.order).order_by("-pk" if backwards else "pk")
    arrived = [Arrived(line, line.to_come) for line in lines]
    take_in(order=order_line.order, arrived=arrived, received_on=localdate(at), by=by, at=at)


def order_for(*, client, variant_key, salon, by, at):
    variant = Variant.objects.select_related("piece__base__maker", "shade").get(pk=variant_key)
    order_specially(client=client, variant=variant, salon=salon, by=by, at=at)


def close_all(*, order_line, by, at):
    close(order=order_line.order, because="Nothing more comes", by=by, at=at)


def another_day(*, order_line, by, at):
    expect(order=order_line.order, expected_on=localdate(at), by=by, at=at)


def not_wanted(*, order_line, by, at):
    awaited = AwaitedPiece.objects.select_related("order_line__order").get(order_line=order_line)
    awaited_no_longer_wanted(awaited=awaited, by=by, at=at)


def send_it(*, order_line, by, at):
    send(order=order_line.order, expected_on=localdate(at), by=by, at=at)


def drop_it(*, order_line, by, at):
    drop(order=order_line.order, by=by, at=at)


def take_it_out(*, order_line, by, at):
    take_out(line=order_line, by=by, at=at)
