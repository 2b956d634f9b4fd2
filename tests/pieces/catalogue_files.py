"""What the tests of the import share: headers of small files, many lines at once, and what is stored."""

from pieces.models import Base, BaseClip, BaseTapeArea, Maker, Piece, Shade, Unit, Variant

KINDS = ("bases", "shades", "pieces", "variants", "units")
MODELS = (Maker, Base, BaseClip, BaseTapeArea, Shade, Piece, Variant, Unit)
BASES = "maker,name,outline,length_mm,width_mm,construction\n"
SHADES = "maker,code,name\n"
PIECES = "maker,base,name,fibre,texture\n"
VARIANTS = "maker,base,piece,shade,length_mm,price\n"
UNITS = "number,maker,base,piece,shade,length_mm,received_on\n"


def words(report):
    return [str(bad) for bad in report.bad_lines]


def stored():
    return {model.__name__: model.objects.count() for model in MODELS}


def many_variants(count):
    """Files that list `count` variants of pieces on ten bases."""
    bases = BASES + "".join(f"Tollbar,Latch {i},oval,152,140,mono\n" for i in range(10))
    shades = SHADES + "".join(f"Tollbar,sedge-{i},Sedge {i}\n" for i in range(50))
    pieces = PIECES + "".join(f"Tollbar,Latch {i % 10},Piece {i},human,wavy\n" for i in range(count // 100))
    lines = "".join(
        f"Tollbar,Latch {i % 10},Piece {i},sedge-{shade},{length},{{price}}\n"
        for i in range(count // 100)
        for shade in range(50)
        for length in (300, 400)
    )
    return {"bases": bases, "shades": shades, "pieces": pieces, "variants": VARIANTS + lines.format(price="1249.00")}
