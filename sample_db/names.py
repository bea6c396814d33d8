"""Names of people and organizations. All invented; a likeness to real people is chance."""

from random import Random

SURNAMES = (
    "Quillan", "Pell", "Ostler", "Varley", "Dunmore", "Attwell", "Marrin", "Tolliver",
    "Brandreth", "Casswell", "Dray", "Ellery", "Fenwright", "Garrick", "Hobday", "Inskip",
    "Jessop", "Kettle", "Larkham", "Mundy", "Nettleton", "Orrick", "Pargeter", "Quested",
    "Rudkin", "Sallows", "Tamsett", "Underhill", "Vickery", "Wadlow", "Yelland", "Askern",
    "Birtle", "Clegg", "Dorrit", "Eastlake", "Follet", "Gully", "Hask", "Ivory", "Jarrold",
    "Kemble", "Loder", "Mawson", "Norrish", "Oxley", "Pinnock", "Quayle", "Rusk", "Stanier",
    "Thurgood", "Upjohn", "Venning", "Whitlow", "Yarwood", "Abernott", "Bexley", "Corbin",
    "Dashwood", "Ensor", "Farrow", "Glaze", "Hurrell", "Islip", "Jolliff", "Kerslake", "Lumley",
    "Medlock", "Nance", "Olding", "Pettifer", "Raine", "Sorley", "Trask", "Vosper", "Wroth",
    "Łoziński", "Núñez", "O’Dell", "Sørby", "Đorić", "Müllner",
)  # fmt: skip
FIRST_NAMES = (
    "Anna", "Bela", "Cora", "Dana", "Edith", "Faye", "Greta", "Hattie", "Ivy", "June", "Kit",
    "Lorna", "Maud", "Nell", "Opal", "Pearl", "Quinn", "Ruth", "Stella", "Tess", "Una", "Vera",
    "Wanda", "Zara", "Abel", "Boyd", "Clem", "Dale", "Ezra", "Ford", "Glen", "Hugh", "Ivan",
    "Joel", "Karl", "Lyle", "Milo", "Ned", "Otis", "Paul", "Roy", "Seth", "Todd", "Vince", "Walt",
)  # fmt: skip
TECHNICIANS = (
    ("Lena", "Orrick"), ("Tobin", "Hask"), ("Ada", "Quested"), ("Moses", "Farrow"),
    ("Iris", "Trask"),
    ("Colm", "Venning"), ("Petra", "Rusk"), ("Hollis", "Dray"), ("Juno", "Kemble"),
    ("Ansel", "Glaze"),
    ("Wren", "Loder"), ("Basil", "Nance"), ("Odette", "Pell"), ("Rufus", "Askern"),
)  # fmt: skip
ORGANIZATIONS = (
    "Abbot Fen HOA", "Pinder Chapel", "Heron Bank Owners", "Wrenlock School", "Ferry Steps Inn",
    "Corvane Hill HOA", "Tessing Grange", "Brisk Mere Camp", "Quarry Spur Works", "Tarrow Parks",
)  # fmt: skip
OFFICE = "Ines R."

# three digits as area codes are written: not n11, not n9n (kept back), not 37n or 96n
_AREAS = tuple(
    a for a in range(201, 990) if a % 100 != 11 and a // 10 % 10 != 9 and a // 10 not in {37, 96}
)


def household(rng: Random) -> tuple[str, str, str]:
    """A household's name as the office writes it, a first name and a surname."""
    surname, first = rng.choice(SURNAMES), rng.choice(FIRST_NAMES)
    kind = rng.random()
    if kind < 0.55:
        return f"{surname}, {first}", first, surname
    if kind < 0.8:
        return f"{surname}, {first} and {rng.choice(FIRST_NAMES)}", first, surname
    return f"{first} {surname}", first, surname


def technician(i: int) -> tuple[str, str]:
    """First name and surname of the i-th technician; short names differ."""
    if i < len(TECHNICIANS):
        return TECHNICIANS[i]
    first, surname = TECHNICIANS[i % len(TECHNICIANS)]
    return f"{first} {chr(65 + i // len(TECHNICIANS))}.", surname


def phone(i: int) -> tuple[str, str]:
    """An invented number, E.164 and as typed: 555-0100 to 555-0199 is kept for fiction."""
    area, line = _AREAS[(i // 100) % len(_AREAS)], 100 + i % 100
    return f"+1{area}5550{line}", f"{area} 555-0{line}"


def mail_box(first: str, surname: str, i: int) -> str:
    """An address at a domain kept for examples (RFC 2606)."""
    plain = "".join(c for c in surname.lower() if c.isascii() and c.isalpha())
    return f"{first.lower()}.{plain}{i}@example.org"
