"""Invented boat names: an adjective and a noun, a number after them once these run out."""

from collections.abc import Iterator

from analytics.sample.chance import Chance

_ADJECTIVES = """
    Penny Quiet Tin Amber Paper Copper Velvet Wooden Sleepy Rusty Patient Gentle Merry Crooked
    Woollen Little Tall Humble Pocket Ginger Plain Early Borrowed Painted Polished Striped Speckled
    Freckled Dusty Misty Frosty Breezy Mellow Nimble Steady Thrifty Tidy Careful Curious Cheerful
    Drowsy Honest Idle Jolly Kindly Lucky Modest Narrow Olive Purple Quilted Round Simple Tender
    Upright Violet Wandering Yellow Zinc Brass Linen Cotton Barley Oaten Biscuit Saffron Wicker
    Marble Muddy Bashful Dapper Hearty
"""
_NOUNS = """
    Wren Otter Lantern Kettle Thimble Teapot Candle Badger Hedgehog Bramble Acorn Pebble Feather
    Whistle Button Spoon Ladle Basket Barrel Bucket Fiddle Cobbler Miller Baker Tinker Weaver
    Ferret Marten Stoat Dormouse Shrew Linnet Dunnock Siskin Plover Dipper Pipit Godwit Snipe Rook
    Jackdaw Moth Beetle Cricket Snail Newt Toad Minnow Gudgeon Loach Thistle Teasel Sorrel Yarrow
    Fern Lichen Alder Hazel Rowan Quince Medlar Damson Walnut Cushion Blanket Pillow Ribbon Pitcher
    Trivet Bobbin Saucer Turnip Parsnip
"""


def boat_names(chance: Chance) -> Iterator[str]:
    """Unique names without end; nouns repeat as late as possible, so that names differ most."""
    adjectives = chance.shuffled(_ADJECTIVES.split())
    nouns = chance.shuffled(_NOUNS.split())
    number = 1
    while True:
        suffix = "" if number == 1 else f" {number}"
        for turn in range(len(adjectives)):
            for place, noun in enumerate(nouns):
                yield f"{adjectives[(place + turn) % len(adjectives)]} {noun}{suffix}"
        number += 1
