"""Names of villages and lanes. All invented; a likeness to a real place is chance."""

from collections.abc import Iterator
from random import Random

# name, postcode (00100 to 00199 are not given out, from memory), kilometers east and north of
# the office town, share of the houses
VILLAGES: tuple[tuple[str, str, tuple[float, float], float], ...] = (
    ("Wrenlock", "00100", (0.0, 0.0), 1.6),
    ("Sallow Fork", "00101", (-7.6, 3.7), 1.0),
    ("Pinder", "00102", (6.8, 6.1), 1.0),
    ("Old Tessing", "00103", (-5.4, -7.4), 1.2),
    ("Corvane", "00104", (5.6, -6.9), 1.1),
    ("Lower Brisk", "00105", (9.7, -3.1), 1.0),
    ("Abbot Fen", "00106", (-12.4, -1.8), 0.8),
)

MORE_VILLAGES: tuple[str, ...] = (
    "Marl Quay", "Stave Hill", "Harrowmere", "Tallow Weir", "Fennock", "Greystile", "Quenlow",
    "Sedge Landing", "Gorse Hythe", "Larkrise Green", "Ostler Rise", "Dunlow Sands", "Pellmoor",
    "Brackwater", "Cob End", "Rushlight", "Tansy Bar", "Vetchley Cross", "Wickmoor", "Yarrow Spit",
    "Kelder Bight", "Ivory Strand", "Juniper Neck", "Netherquay", "Oxbow Hollow", "Plover Flat",
    "Quill Harbor", "Rookmere", "Saltern", "Thrift Cove", "Umber Hill", "Venn Landing",
    "Withy Bend", "Alder Bight", "Bracken Point", "Cinder Cove", "Dory Landing", "Elver Creek",
    "Foxglove Head", "Gannet Row", "Hobble Bridge", "Inkwell", "Jackstraw", "Kittle Ness",
    "Lambswool", "Millrace", "Narrow Sound", "Otter Slade", "Pebble Row", "Quern Hill",
    "Ragwort", "Spindle Bay", "Teasel Down", "Ullage Cove", "Warble Fen", "Yoke Hill",
)  # fmt: skip

# lanes that appear in the pictures, with the house numbers that must exist there
LANES: dict[str, tuple[tuple[str, tuple[int, ...]], ...]] = {
    "Wrenlock": (
        ("Rook Street", (18,)),
        ("Tannery Row", (19,)),
        ("Granary Row", (1,)),
        ("Sluice Way", (22,)),
    ),
    "Sallow Fork": (("Heron Bank", (3,)), ("Ashpit Lane", (52,)), ("Low Meadow", (240,))),
    "Pinder": (("Fallow End", (5,)), ("Burnt Mill", (63,))),
    "Old Tessing": (
        ("Dry Hollow Lane", (118,)),
        ("Cob Orchard", (8,)),
        ("Old Weir", (40,)),
    ),
    "Corvane": (("Corvane Hill", (14,)), ("Quarry Spur", (31,)), ("Stave Hill Lane", (15,))),
    "Lower Brisk": (("Marl Pit Road", (70,)), ("Ferry Steps", ())),
    "Abbot Fen": (("Larkrise Court", (6,)), ("Fen Bank", ())),
}

MAIN_ROAD_HOUSES: dict[str, tuple[int, ...]] = {"Tessing Road": (9,), "Brisk Ferry Road": (77,)}

_FIRST = (
    "Alder", "Barley", "Bittern", "Bramble", "Candle", "Clover", "Cooper", "Curlew", "Drift",
    "Ember", "Fern", "Flint", "Goose", "Hazel", "Hollow", "Ivy", "Kestrel", "Lantern", "Linnet",
    "Mallow", "Moss", "Nettle", "Orchard", "Osier", "Pebble", "Plum", "Reed", "Rowan", "Saddle",
    "Sedge", "Shingle", "Sorrel", "Sparrow", "Thistle", "Timber", "Vetch", "Walnut", "Willow",
)  # fmt: skip
_LAST = (
    "Lane", "Row", "Way", "Bank", "Close", "Rise", "Court", "Drove", "End", "Path", "Spur",
    "Hill", "Ridge", "Walk", "Turn", "Gate", "Field", "Loop", "Reach", "Garth", "Croft",
)  # fmt: skip


def lane_names(rng: Random) -> Iterator[str]:
    """Names of lanes without end, in an order drawn once; each comes once."""
    pairs = [f"{a} {b}" for a in _FIRST for b in _LAST]
    rng.shuffle(pairs)
    yield from pairs
    n = 2
    while True:
        yield from (f"{n}{'nd' if n == 2 else 'rd' if n == 3 else 'th'} {p}" for p in pairs)
        n += 1
