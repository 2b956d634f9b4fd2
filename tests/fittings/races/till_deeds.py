"""Deeds of the till that take more than rows and plain values, told by rows and plain values alone."""

from django.utils.timezone import localdate

from pieces.ordering import receive_against
from pieces.selling import LineAsked, agree_sale


def sell(*, client, unit, salon, by, at):
    agree_sale(client=client, lines=[LineAsked(unit=unit, tried_on=True)], salon=salon, by=by, at=at)


def sell_what_is_ordered(*, client, order_line, salon, by, at):
    agree_sale(client=client, lines=[LineAsked(order_line=order_line)], salon=salon, by=by, at=at)


def receive(*, order_line, by, at):
    receive_against(line=order_line, count=1, received_on=localdate(at), by=by, at=at)
