"""A walk through the shop, drawn by a seed: what happens often in a salon is drawn often.

Hypothesis looks where nobody would and makes what it finds small, but needs many examples to come upon a sale that is
brought back; a walk of sixty deeds meets every kind of them.
"""

import random

from hypothesis.stateful import RULE_MARKER

from tests.pieces.ledger.both_shops import MOVES, PRICES, BothShops

RULES = {name: getattr(made, RULE_MARKER) for name, made in vars(BothShops).items() if hasattr(made, RULE_MARKER)}
OFTEN = {
    "sell": 4,
    "take_back": 5,
    "agree": 4,
    "cancel": 3,
    "take_out": 3,
    "pay": 3,
    "move": 4,
    "count": 3,
    "put_right": 2,
}
FATES = ["drawer", "cleaning", "kept apart", "gone"]
STATES = [set(), set(), {"worn"}, {"cut"}, {"coloured"}, {"seal_broken"}]


def walk(shops, seed, deeds):
    draw = random.Random(seed)
    shops.a_morning(her=draw.randrange(24), paid="all")
    shops.the_two_agree()
    for _ in range(deeds):
        open_to = [name for name, rule in RULES.items() if all(may(shops) for may in rule.preconditions)]
        [name] = draw.choices(open_to, [OFTEN.get(name, 1) for name in open_to])
        getattr(shops, name)(**_told(name, draw))
        shops.the_two_agree()


def _told(name, draw):
    """What a rule is told, by the names of its arguments."""
    some, wanted = draw.randrange, draw.choice([0, 1, 1, 1, 2, 3])
    ways = {
        "name": lambda: draw.choice([*MOVES]),
        "her": lambda: None if name in ("set_aside", "order") and draw.random() < 0.3 else some(24),
        "count": lambda: draw.randint(1, 3),
        "try_on": lambda: draw.random() < 0.2,
        "price": lambda: some(len(PRICES)),
        "paid": lambda: draw.choice(["all", "all", "a part", "nothing"]),
        "amount": lambda: draw.choice([2_000, 1, 500_000, 0]),
        "how": lambda: draw.choice(["all", "all", "a part", "a penny", "a penny too much", "nothing"]),
        "way": lambda: draw.choice(["card", "cash", ""] if name == "take_back" else ["card", "cash"]),
        "wanted": lambda: [
            (draw.choice(["unit", "unit", "order", "service"]), some(24), some(4)) for _ in range(wanted)
        ],
        "cheaper": lambda: draw.choice([0, 0, 0, 0, 99, 501, 200_000]),
        "state": lambda: draw.choice(STATES),
        "fate": lambda: draw.choice(FATES),
        "instead": lambda: draw.choice([None, some(24), some(24)]),
        "days": lambda: draw.randint(1, 9),
    }
    asked = RULES[name].arguments
    booleans = {argument: draw.random() < 0.6 for argument in ("knows", "goes_on", "allowed", "drop", "leaves")}
    return {argument: ways[argument]() if argument in ways else booleans.get(argument, some(24)) for argument in asked}
