"""A valid post of every form on which the catalogue is kept, record by record."""

from datetime import timedelta

from django.utils.timezone import localdate

from pieces.seen_versions import version_of
from tests.mutated.sending import File, post, sent_with
from tests.pieces.factories import plain_jpeg

UPLOAD = "1c7a0f5e-90a1-4d0b-8d3e-5b7f2c9a4e66"
DRAWN = {"HX-Request": "true", "HX-Target": "base-typed"}


def of_the_catalogue(scene):
    piece, variant = scene.piece, scene.variant
    base, shade, maker = piece.base, variant.shade, piece.base.maker
    new_base = _base(maker.pk, "Lattice")
    measured = {f"{zone}_{axis}": "12.5" for zone in ("root", "mid", "ends") for axis in "lab"}
    a_shade = {"maker": maker.pk, "code": "sedge", "name": "Pale warm brown", "method": "instrument", **measured}
    a_piece = {
        "name": "Quarry Row", "base": base.pk, "fibre": "blend", "synthetic_part": "heat_friendly", "texture": "wavy",
        "density": "light", "rated_c": "320 °F", "curl_set_c": "110", "colourable": "yes",
    }  # fmt: skip  # in lines it is read at a glance
    price = {"shade": shade.pk, "length_mm": "35 cm", "price_minor": "£1,300.00", "cost_minor": "580"}
    soon = f"{localdate() + timedelta(days=30)}"
    file = ("file", File("front.jpg", plain_jpeg(), "image/jpeg"))
    pictured = post("piece-picture-new", "Owner", piece.pk, upload_key=UPLOAD, shows="On a stand")
    return {
        "a maker": post("maker-new", "Owner", name="Tollbar", note="Two weeks"),
        "a maker changed": post("maker", "Owner", maker.pk, name="Tollbar", note="", shown=version_of(maker)),
        "a base": post("base-new", "Owner", **new_base),
        "a base drawn": sent_with(post("base-new", "Owner", **new_base), DRAWN),
        "a base with one more clip": post("base-new", "Owner", **new_base, rows="another clip"),
        "a base with usual clips": post("base-new", "Owner", **new_base, rows="usual clips"),
        "a base changed": post("base-edit", "Owner", base.pk, **_base(maker.pk, base.name), shown=version_of(base)),
        "a piece": post("piece-new", "Owner", **a_piece),
        "a piece changed": post("piece-edit", "Owner", piece.pk, **a_piece, shown=version_of(piece)),
        "a piece discontinued": post("piece-discontinue", "Owner", piece.pk, on=soon),
        "a shade": post("shade-new", "Owner", **a_shade),
        "a shade changed": post("shade-edit", "Owner", shade.pk, **a_shade, shown=version_of(shade)),
        "a variant": post("variant-new", "Owner", piece.pk, **{**price, "length_mm": "14 1/2 in"}),
        "a variant changed": post("variant-edit", "Owner", variant.pk, **price, shown=version_of(variant)),
        "a variant discontinued": post("variant-discontinue", "Owner", variant.pk, on=soon),
        "a picture of a piece": pictured.with_fields([*pictured.fields, file]),
        "a picture of a piece taken away": post("piece-picture-remove", "Owner", scene.piece_picture.reference),
    }


def _base(maker, name):
    plain = {
        "maker": maker, "name": name, "length_mm": "15.2 cm", "width_mm": "5 1/2 in", "outline": "oval",
        "construction": "mono", "front_edge": "lace", "two_way": "on", "weight_g": "64", "nickel_free": "yes",
    }  # fmt: skip  # as above
    clips = [("0.8 cm", "middle", "", "3.2 cm"), ("60 mm", "left", "4 cm", ""), ("", "", "", "3.2 cm")]
    counts = {"clips-TOTAL_FORMS": 3, "clips-INITIAL_FORMS": 0, "tape-TOTAL_FORMS": 1, "tape-INITIAL_FORMS": 0}
    rows = {
        f"clips-{number}-{field}": value
        for number, clip in enumerate(clips)
        for field, value in zip(("behind", "side", "out", "long"), clip, strict=True)
    }
    return {**plain, **counts, **rows, "tape-0-begins": "11", "tape-0-ends": "12.5"}
