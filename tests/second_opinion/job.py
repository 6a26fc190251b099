"""What a job asks for, read from its own files: parts with their lengths, and boards with their prices.

Written from the guide (`longpoint help job` and its topics) and `src/planfile/format.md`, not from the program.
All lengths are whole nanometers, all money whole minor units; nothing here is a float.
What this reader leaves out, `nominal` and `surfaced` sizes, it refuses by `Unread`.
"""

import csv
import decimal
import io
import itertools
import math
import re
import tomllib
from collections import Counter
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import Path

INCH = 25_400_000
FOOT = 12 * INCH
UNITS = {"in": INCH, '"': INCH, "ft": FOOT, "'": FOOT, "yd": 3 * FOOT, "mm": 10**6, "cm": 10**7, "m": 10**9}
METERS = {"m2": 2, "m\u00b2": 2, "sqm": 2, "qm": 2, "m3": 3, "m\u00b3": 3, "cbm": 3}
SIDES = ("top", "right", "bottom", "left")


class Unread(Exception):
    """The job uses something that this reader does not know."""


# ------------------------------------------------------------------ numbers

def ceil_div(a, b):
    return -(-a // b)


def number(text):
    """`14`, `14.125`, `1/8`, `14 1/8` and `14-1/8` as an exact fraction."""
    match = re.fullmatch(r"(?:(\d+(?:\.\d+)?|\.\d+)|(\d+)/(\d+)|(\d+)(?:\s+|-)(\d+)/(\d+))", text.strip())
    if not match:
        raise ValueError(f"no number: {text!r}")
    plain, top, under, whole, top2, under2 = match.groups()
    if plain:
        return Fraction(plain)
    return Fraction(int(top), int(under)) if top else int(whole) + Fraction(int(top2), int(under2))


def length(value, unit):
    """A length in nanometers; a bare number is in `unit`, or in inches behind feet."""
    text, total = str(value).strip(), Fraction(0)
    feet = re.fullmatch(r"(.*?)\s*(?:'|ft)\s*(.*)", text)
    if feet:
        total, text, unit = number(feet[1]) * UNITS["ft"], feet[2], "in"
    if text:
        body, sign = re.fullmatch(r"(.*?)\s*(in|\"|mm|cm|yd|m|)", text).groups()
        total += number(body) * UNITS[sign or unit]
    if total.denominator != 1:
        raise ValueError(f"not a whole number of nanometers: {value!r}")
    return int(total)


def slope(sides, digits=60):
    """Cosine and tangent of 180 degrees / sides, each to nearly `digits` decimals, as fractions."""
    with decimal.localcontext() as context:
        context.prec = digits + 10
        one = decimal.Decimal(1)

        def arctan(x):  # of 1/x, by its series
            total, power, k = decimal.Decimal(0), one / x, 0
            while abs(power) > decimal.Decimal(10) ** -(digits + 8):
                total += power / (2 * k + 1) * (1 if k % 2 == 0 else -1)
                power, k = power / (x * x), k + 1
            return total

        angle = 4 * (4 * arctan(5) - arctan(239)) / sides  # Machin, 1706
        sine, cosine, term, k = decimal.Decimal(0), decimal.Decimal(0), one, 0
        while abs(term) > decimal.Decimal(10) ** -(digits + 8):
            if k % 2 == 0:
                cosine += term * (1 if k % 4 == 0 else -1)
            else:
                sine += term * (1 if k % 4 == 1 else -1)
            term, k = term * angle / (k + 1), k + 1
        return Fraction(cosine), Fraction(sine / cosine)


def rounded(value, up):
    """The whole number beside an irrational value of which nearly 60 digits are known: nothing is left to chance."""
    below = math.floor(value)
    assert Fraction(1, 10**20) < value - below < 1 - Fraction(1, 10**20), "too near to a whole number to tell"
    return below + 1 if up else below


def kerf_along(kerf, sides):
    """`K = ceil(k / cos m)`; `sides` is None for square ends."""
    if sides is None or kerf == 0:
        return kerf
    if sides == 3:  # the one case in which the cosine, 1/2, is rational (Niven)
        return 2 * kerf
    return rounded(kerf / slope(sides)[0], up=True)


def times_tan(width, sides, up):
    """`width tan m`, rounded; at 45 degrees it is the width."""
    if sides == 4 or width == 0:
        return width
    return rounded(width * slope(sides)[1], up)


def times_sin(width, sides):
    """`width sin m`, rounded up."""
    if sides == 6:  # the one even number of sides for which the sine, 1/2, is rational (Niven)
        return ceil_div(width, 2)
    cosine, tangent = slope(sides)
    return rounded(width * cosine * tangent, up=True)


# ------------------------------------------------------------------ what a job has

@dataclass(frozen=True)
class Section:
    """What a strip is milled to: a moulding, or plain wood of some material, thickness and width."""
    moulding: str | None
    material: str | None
    thickness: int | None
    width: int | None
    thicker: bool = False
    profile: str | None = None  # of which strips that are milled already will do

    def same_wood(self, board):
        if board.milled is not None:
            return (board.milled == self.profile and self.material in (None, board.material or self.material)
                    and self.thickness in (None, board.thickness or self.thickness)
                    and self.width in (None, board.width or self.width))
        return (None in (self.material, board.material) or self.material == board.material) and (
            None in (self.thickness, board.thickness) or self.thickness == board.thickness
            or self.thicker and board.thickness > self.thickness)


@dataclass(frozen=True)
class Part:
    """One rail or loose piece."""
    owner: tuple  # ("frame" or "piece", name)
    copy: int
    side: str | None
    item: str
    length: int  # of a spare offcut, that of the rail that is to be cut from it
    short: int | None  # between its short points; None for square ends, and where the width is not known
    section: Section
    sides: int | None  # of the polygon whose corner its ends close; None for square ends
    kerf: int  # K
    overlap: int  # O, or 0 if it may not lie turned
    board: str | None = None  # the only line that it may come from
    purpose: str = "wanted"
    row: tuple = ()  # the sides of the rails in its row, in order; empty where it stands in none

    def key(self):
        return (*self.owner, self.copy, self.side)


@dataclass(frozen=True)
class Board:
    """One line of boards, tally or rack."""
    name: str
    length: int
    supply: int | None
    price: int | None
    material: str | None
    thickness: int | None
    width: int | None
    rack: bool
    tallied: bool
    defects: tuple  # of (from, to, "full", "left" or "right", depth)
    milled: str | None = None  # the profile to which it is milled already
    partings: tuple = ()  # the ways to part it, each as its stretches (from, to, slice); none where there is but one
    at_yard: bool = False

    def sticks(self, parting):
        """What a way to part it gives, each stretch or slice as a board of its own."""
        for a, b, thick in parting:
            on_it = tuple((max(x, a) - a, min(y, b) - a, *rest) for x, y, *rest in self.defects if max(x, a) < min(y, b))
            yield replace(self, length=b - a, defects=on_it, partings=(), thickness=thick or self.thickness)

    def ways(self):
        """All ways, that of a board that is not parted being one."""
        return self.partings or (((0, self.length, None),),)

    def whole(self):
        """The same board as it lies there."""
        return replace(self, partings=())

    def resawn(self, resaw, wanted):
        """The same board with the ways in which the shop may resaw it for parts of the thicknesses that are wanted."""
        too_wide = resaw["widest"] is not None and (self.width is None or self.width > resaw["widest"])
        if self.thickness is None or too_wide or self.milled is not None:
            return self
        slices = ((thick, min(8, (self.thickness + resaw["kerf"]) // (thick + resaw["planing"] + resaw["kerf"])))
                  for thick in sorted(wanted))
        more = tuple(tuple((a, b, thick) for a, b, _ in way for _ in range(many))
                     for thick, many in slices if many >= 2 for way in self.ways())
        return replace(self, partings=self.ways() + more) if more else self


@dataclass
class Job:
    kerf: int
    trim: int
    shortest: int  # offcut that is kept
    rip: dict | None
    parts: list = field(default_factory=list)
    boards: list = field(default_factory=list)
    grains: list = field(default_factory=list)  # of the frames, as granted
    ways: dict = field(default_factory=dict)  # the user's own: names of boards, or boards
    longest: int | None = None  # what the vehicle takes
    parted: bool = False  # whether a frame comes in pairs on the word of the plan, though its rails in a row would fit

    def go(self, kind, own, lengths):
        """Limits the boards to a way of buying; `lengths` are those taken of the lines of some woods."""
        listed = self.ways[own] if kind == "own" else []
        if listed and isinstance(listed[0], Board):
            self.boards = [b for b in self.boards if b.rack] + listed
        for at, board in enumerate(self.boards):
            if kind == "no_yard_limits" and not (board.rack or board.tallied or self.shut_out(board)):
                self.boards[at] = replace(board, supply=None)
            left_out = kind == "uncut" and board.at_yard or kind == "own" and not board.rack and board.name not in listed and board not in listed
            if (left_out or kind == "without_rack" and board.rack
                    or not board.rack and board.length not in lengths.get(board.name, {board.length})):
                self.boards[at] = replace(board, supply=0)

    def shut_out(self, board):
        """Whether the vehicle does not take it."""
        return self.longest is not None and not board.rack and board.length > self.longest and not board.at_yard

    def cost(self, board):
        """What a board counts in the value of a plan."""
        if any(b.price is not None and not (b.rack and b.price == 0) for b in self.boards):
            return board.price or 0
        return 0 if board.rack and board.price == 0 else board.length

    def one_strip(self, section, board):
        """Whether the board is one strip of the section by itself."""
        if section.width is None or board.width is None or board.width == section.width:
            return True
        if self.rip is None:
            return board.width >= section.width
        # What is too narrow to be ripped may be planed to the width.
        return not self.has_room(section, board) and section.width < board.width <= section.width + self.rip["plane-off"]

    def has_room(self, section, board):
        """Whether the width of a board is enough to be ripped to such strips."""
        return section.width + self.rip["planing"] <= board.width - self.rip["straightening"]

    def ripped(self, section, board):
        """Width of a strip of the section if the board is ripped to such strips, else None."""
        if self.one_strip(section, board) or self.rip is None:
            return None
        return section.width + self.rip["planing"] if self.has_room(section, board) else None

    def suits(self, section, board):
        """Whether parts of a section may come from a board, as it lies there or as some stick that it is parted into."""
        if board.partings:
            return any(self.suits(section, stick) for way in board.partings for stick in board.sticks(way))
        return section.same_wood(board) and (
            self.one_strip(section, board) or self.ripped(section, board) is not None)

    def clear(self, board, taken):
        """The clear runs of a strip, given its defects one after the other, as pairs of from and to."""
        runs, start = [], self.trim
        for a, b in taken:
            if a > start:
                runs.append((start, a))
            start = max(start, b)
        runs.append((start, board.length - self.trim))
        return [(a, b) for a, b in runs if b > a]

    def stretches(self, board, near, far, widest):
        """Defects that reach a strip between `near` and `far` from the straightened edge (None: all of the width),
        each at least as long as the widest kerf."""
        taken = []
        for a, b, across, depth in board.defects:
            if near is not None and across != "full":
                slack = self.rip["straightening"]
                if across == "left" and near >= depth or across == "right" and far <= board.width - slack - depth:
                    continue
            taken.append((a, max(b, a + widest)))
        return sorted(taken)

    def left(self, part, cut):
        """How long a spare offcut is, on a strip from which something is cut or nothing."""
        return max(part.length + (self.trim if cut else 0), self.shortest)

    def longest_run(self, section, board, widest):
        """The longest clear run of a strip of the section from the board."""
        if board.partings:
            return max(self.longest_run(section, stick, widest) for way in board.partings for stick in board.sticks(way))
        wide, places = self.ripped(section, board), [(None, None)]
        if wide is not None:
            starts = {0} | {depth for _, _, across, depth in board.defects if across == "left"}
            places = [(x, x + wide) for x in starts if x + wide <= board.width - self.rip["straightening"]]
        runs = (self.clear(board, self.stretches(board, *place, widest)) for place in places)
        return max((b - a for found in runs for a, b in found), default=0)


# ------------------------------------------------------------------ reading

def table(folder, value, first):
    """The rows of a table that stands in the job, or in one or more CSV files; what is empty is left out."""
    if isinstance(value, list) and all(isinstance(row, dict) for row in value):
        rows = [dict(row) for row in value]
    else:
        rows = []
        for name in [value] if isinstance(value, str) else value:
            text = (folder / name).read_text(encoding="utf-8-sig")
            mark = max(",;\t", key=text.split("\n", 1)[0].count)
            for row in csv.DictReader(io.StringIO(text), delimiter=mark, skipinitialspace=True):
                row = {k.strip(): v.strip() for k, v in row.items() if k and v and v.strip()}
                rows += [row] if row else []
    for row in rows:
        for old, new in ((first, "name"), ("qty", "quantity")):
            if old in row:
                row[new] = row.pop(old)
    return rows


class Reader:
    """Reads values of a job in its unit."""

    def __init__(self, path):
        self.folder = Path(path).parent
        self.raw = tomllib.loads(Path(path).read_text(encoding="utf-8"), parse_float=decimal.Decimal)
        self.shop = Reader(self.folder / self.raw["shop-file"]) if "shop-file" in self.raw else None
        self.unit = self.raw.get("unit", self.shop.unit if self.shop else "in")

    def rows(self, name, first="name"):
        """The rows of the job, and then those of its shop that no row of the job stands for, each with its reader."""
        own = [(self, row) for row in table(self.folder, self.raw.get(name, []), first)]
        names = {row.get("name") for _, row in own} if name in ("mouldings", "sheets", "boards") else set()
        more = self.shop.rows(name, first) if self.shop else []
        return own + [(reader, row) for reader, row in more if row.get("name") not in names]

    def told(self, name, key):
        """Who says what of a setting: the reader of the job or of its shop, and the value or None."""
        said = key in self.raw.get(name, {}) or self.shop is None
        return (self, self.raw.get(name, {}).get(key)) if said else self.shop.told(name, key)

    def length(self, row, key, left_out=None):
        value = row.get(key, left_out)
        return None if value is None else length(value, self.unit)

    def setting(self, name, key, left_out):
        reader, value = self.told(name, key)
        return reader.length({} if value is None else {key: value}, key, left_out)

    def thickness(self, row):
        """A length, or quarters of an inch."""
        quarters = re.fullmatch(r"(\d+)/4", str(row.get("thickness", "")).strip())
        many = quarters and int(quarters[1]) >= 4
        return int(quarters[1]) * INCH // 4 if many else self.length(row, "thickness")

    def price(self, text, long, wide, thick, share=1):
        """A price for one board, by length, board foot, square or cubic meter, to the nearest minor unit, a half up."""
        amount, _, per = (part.strip() for part in str(text).partition("/"))
        per = re.sub(r"^(\d.*?)\s*\([^(]*/(ft|m)\)$", r"\1", per)  # what an exact share comes to
        exact = number(amount) * 10 ** self.decimals()
        if per == "bf":
            feet = Fraction(long * wide, FOOT ** 2)
            if self.measure == "surface":
                feet = math.floor(feet + Fraction(1, 2))
            exact *= feet * max(Fraction(thick, INCH), 1)
        elif per in METERS:
            exact *= Fraction(long * wide * (thick if METERS[per] == 3 else 1), UNITS["m"] ** METERS[per])
        elif per:
            exact *= Fraction(long, UNITS[per] if per in UNITS else length(per, self.unit))
        if share != 1 and (per == "bf" or per in METERS or not per):
            exact = math.floor(exact + Fraction(1, 2))
        return math.floor(exact * share + Fraction(1, 2))

    def worth(self):
        """What a piece in hand without a value counts of what was paid for it."""
        text = str(self.told("in-hand", "worth")[1] or "cost").strip().lower()
        if text in ("cost", "nothing"):
            return Fraction(text == "cost")
        return number(text[:-1]) / 100 if text.endswith("%") else number(text)

    def has(self, name):
        return name in self.raw or bool(self.shop and self.shop.has(name))

    def decimals(self):
        return self.raw.get("currency-decimals", self.shop.decimals() if self.shop else 2)

    def defects(self, text, wide):
        """`23 to 25 1/2; 61 to 62 left`: without a depth half of the width, rounded up."""
        found = []
        for piece in filter(None, (p.strip() for p in text.split(";"))):
            a, b, side, depth = re.fullmatch(r"(.+?)\s+to\s+(.+?)(?:\s+(left|right)(?:\s+(.+))?)?", piece).groups()
            if side:
                depth = length(depth, self.unit) if depth else ceil_div(wide, 2) if wide else None
            found.append((length(a, self.unit), length(b, self.unit), side or "full", depth))
        return tuple(found)

    def partings(self, long, longest):
        """The ways to cut it at the yard so that the vehicle takes it, with as few cuts as can be, and their number."""
        reader, cuts = self.told("buying", "yard-cuts")
        if longest is None or cuts is None or long <= longest:
            return (), 0
        kerf = self.setting("buying", "yard-kerf", "1/8 in")
        if isinstance(cuts, list):
            places = sorted({length(place, reader.unit) for place in cuts})
        else:
            step = length(cuts, reader.unit)
            places = range(step, long, step)
        # From the near end: every way so far, as its stretches and where the next begins.
        open_ways = [((), 0)]
        for many in range(1, len(places) + 1):
            open_ways = [((*way, (start, at, None)), at + kerf) for way, start in open_ways for at in places
                         if start < at <= start + longest and at + kerf < long]
            whole = tuple((*way, (start, long, None)) for way, start in open_ways if long - start <= longest)
            if whole or not open_ways:
                return whole, many if whole else 0
        return (), 0

    def boards(self, longest):
        """The lines of boards, tally and rack; of what is to be bought, longer than the vehicle takes and not cut at the
        yard there is none."""
        rack = list(self.lines("rack", self.rows("rack", "board"), longest, cut=False))
        if self.has("bought"):
            yield from self.bought({board.name for board in rack})
        else:
            for kind in ("boards", "tally"):
                yield from self.lines(kind, self.rows(kind, "board"), longest, cut=True)
        yield from rack

    def bought(self, names):
        """What was bought: in hand like the rack, and told apart by its lengths where rows have one name."""
        rows = [(reader, row) for reader, row in self.rows("bought", "board")
                if int(row.get("bought", 0)) and row.get("from", "yard").lower() != "rack"]
        seen = set()
        for reader, row in rows:
            value = {"price": row["price"]} if "price" in row else {}
            cut = {key: row[key] for key in ("material", "thickness", "width", "defects") if key in row}
            if {"nominal", "surfaced"} & set(row):
                raise Unread("nominal and surfaced sizes")
            label, long = str(row["name"]), row.get("measured", row["length"])
            own = label if label not in seen else None
            if own is None and "cut-at" not in row:
                own = f"{label}, {self.shown(length(long, self.unit))}"
            elif own is None:
                own = f"{label}, cut at " + " and ".join(self.shown(length(at, self.unit)) for at in row["cut-at"].split(";"))
            name = next(n for n in itertools.chain([own], (f"{own} ({i})" for i in itertools.count(2))) if n not in names)
            names.add(name)
            seen.add(label)
            made = cut | value | {"name": name, "length": long, "quantity": row["bought"]}
            starts = [length(at, self.unit) for at in row["cut-at"].split(";")] if "cut-at" in row else []
            kerf = self.setting("buying", "yard-kerf", "1/8 in")
            begins, ends = [0] + [at + kerf for at in starts], starts + [length(long, self.unit)]
            for board in self.lines("bought", [(reader, made)], None, cut=False):
                yield replace(board, partings=(tuple((a, b, None) for a, b in zip(begins, ends)),), at_yard=True) if starts else board

    def shown(self, size):
        """A length in the job's unit as names have it: only of whole sixteenths of an inch, or of millimeters."""
        if self.unit == "mm" and size % 1_000_000 == 0:
            return f"{size // 1_000_000} mm"
        sixteenths = Fraction(size, INCH // 16)
        if self.unit != "in" or sixteenths.denominator != 1:
            raise Unread("names of boards of such lengths")
        whole, part = divmod(int(sixteenths), 16)
        part = Fraction(part, 16)
        return " ".join([str(n) for n in (whole, part) if n or not whole and not part][:2]) + " in"

    def ways(self, longest):
        """The user's own ways of buying: names of boards, or the boards of another yard."""
        for reader, way in self.rows("ways"):
            names = [way["boards"]] if isinstance(way["boards"], str) else way["boards"]
            if any(name.lower().endswith(".csv") for name in names):
                rows = [(reader, row) for row in table(reader.folder, names, "board")]
                names = list(self.lines("boards", rows, longest, cut=False))
            yield way["name"], names

    def lines(self, kind, rows, longest, cut):
        """Lines of boards of one kind, which may be cut at the yard."""
        for place, (reader, row) in enumerate(rows, 1):
            reader.measure = self.told("shop", "board-measure")[1]
            if {"nominal", "surfaced"} & set(row):
                raise Unread("nominal and surfaced sizes")
            long, wide, thick = reader.length(row, "length"), reader.length(row, "width"), reader.thickness(row)
            supply = row.get("quantity", None if kind == "boards" else 1)
            price, share = row.get("price"), 1
            if kind == "rack":
                price, share = row.get("value", row.get("paid")), 1 if "value" in row else self.worth()
                if str(self.told("in-hand", "first")[1]).lower() == "true" or share == 0:
                    price, share = 0, 1
            kind = "rack" if kind == "bought" else kind
            partings, cuts = self.partings(long, longest) if cut else ((), 0)
            charge = number(str(self.told("buying", "yard-cut-price")[1] or 0))
            charge = cuts * int(charge * 10 ** self.raw.get("currency-decimals", 2))
            if longest is not None and kind != "rack" and long > longest and not partings:
                supply = 0
            yield Board(str(row.get("name", f"{Path(str(reader.raw.get(kind, ''))).stem} row {place}")), long,
                        None if supply is None else int(supply),
                        None if price is None else reader.price(price, long, wide, thick, share) + charge,
                        fold(row.get("material")), thick, wide, kind == "rack", kind == "tally",
                        reader.defects(row.get("defects", ""), wide),
                        row.get("moulding") if kind == "rack" else None, partings, bool(partings))

    def frame(self, row, around):
        """The sides of a frame as (name, long point, short point), as `frames`, `mats` and `liners` of the guide tell; `around`
        has face and lip of the frames round the art, from the innermost to the one that is sized."""
        sides = int(row["sides"]) if "sides" in row else None
        package = [self.length(row, key) for key in ("art-width", "art-height") if key in row]
        flats = package[0] if row.get("measured") == "flats" else None

        def grown(size, more):
            """A side that is to be `more` farther from the opposite one than `size`, which for flats is how far it is."""
            return size + (more if flats is not None else times_tan(more, sides or 4, True))

        def told(size):
            return size if flats is None else times_tan(size, sides, True)

        if row.get("measured") == "corners":
            package = [times_sin(package[0], sides)]
        borders = ("mat-top", "mat-right", "mat-bottom", "mat-left")
        if "package-width" in row:
            package = [self.length(row, "package-width"), self.length(row, "package-height")]
        elif "mat-border" in row or set(borders) & set(row):
            top, right, bottom, left = (self.length(row, name, row.get("mat-border")) for name in borders)
            lap = self.length(row, "overlap") if "overlap" in row else self.setting("shop", "mat-overlap", "1/4 in")
            lap = 0 if row.get("mount") == "float" else lap
            package = [grown(size, more) for size, more in zip(package, (left + right - 2 * lap, top + bottom - 2 * lap))]
        play = self.setting("shop", "fit-allowance", "1/8 in")
        for face, lip in around[:-1]:
            package = [grown(size, play + 2 * face - 2 * lip) for size in package]
            play = self.length(row, "liner-play", "1/8 in")
        face, lip = around[-1]
        row["package"] = [told(size) for size in package]
        gap = self.length(row, "tray-gap")
        sight = 2 * gap if gap is not None else play - 2 * lip
        names = [f"side {i + 1}" for i in range(sides)] if sides else SIDES
        return [(name, told(grown(size, sight + 2 * face)), told(grown(size, sight)))
                for name, size in zip(names, package * len(names))]


def profile_of_strips(row):
    """The profile of which strips that are milled already will do: none where a handed one is milled after cutting."""
    later = row.get("milled") == "after-cutting" and row.get("section", "handed") == "handed"
    return None if later else row["profile"]


def in_woods(rows):
    """The mouldings by name, each with its reader and row: one of several `woods` is one for each, called by wood and
    name, with its `profile`."""
    found = {}
    for reader, row in rows:
        profile = str(row["name"])
        for wood in row.get("woods") or [None]:
            name = profile if wood is None else f"{wood.strip()} {profile}"
            found[name] = (reader, row | {"profile": profile} | ({"material": wood.strip()} if wood else {}))
    return found


def moulding_of(row, mouldings):
    """The name of the moulding that a row of frames or pieces means."""
    profile = str(row.get("moulding", next(row["profile"] for _, row in mouldings.values())))
    made = {name: moulding for name, (_, moulding) in mouldings.items() if moulding["profile"] == profile}
    wood = row.get("wood")
    return next(name for name, its in made.items() if wood is None or fold(wood) == fold(its.get("material")))


def fold(text):
    return None if text is None else str(text).casefold()


def read(path, parted=(), longest=None):
    """The job of a TOML file and its tables for a vehicle that takes boards up to `longest`; of the frames that are `parted` the rails may come in pairs where they are
    asked for in a row, though this fits on some board."""
    reader = Reader(path)
    rip = {key: reader.setting("rip", key, default) for key, default in
           (("kerf", "1/8 in"), ("straightening", "0 in"), ("planing", "0 in"), ("plane-off", "1/8 in"))} if reader.has("rip") else None
    job = Job(reader.setting("saw", "kerf", "1/8 in"), reader.setting("saw", "end-trim", "1/2 in"),
              reader.setting("shop", "shortest-offcut", "12 in"), rip, boards=list(reader.boards(longest)),
              ways=dict(reader.ways(longest)), longest=longest)
    made = in_woods(reader.rows("mouldings"))
    sections = {name: Section(name, fold(row.get("material")), its.thickness(row), its.length(row, "face-width"),
                              str(row.get("thicker-stock")).lower() == "true", profile_of_strips(row))
                for name, (its, row) in made.items()}
    lips = {name: its.length(row, "lip", "1/4 in") for name, (its, row) in made.items()}
    frames = []
    for _, row in reader.rows("frames", "frame"):
        name = moulding_of(row, made)
        liners = [text.strip() for text in str(row["liner"]).split(";")] if "liner" in row else []
        around = [(sections[its].width, lips[its]) for its in liners + [name]]
        frames.append((row, name, reader.frame(row, around)))
        for place, its in enumerate(liners, 1):
            held = {"held": True} | {key: row[key] for key in row if key not in ("grain", "match-color", "board", "tray-gap")}
            held["name"] = f"{row['name']} liner" + (f" {place}" if place > 1 else "")
            frames.append((held, its, reader.frame(held, around[:place])))
    loose = []
    mouldings = {name: row for name, (_, row) in made.items()}
    for _, row in reader.rows("pieces", "piece"):
        section = sections[moulding_of(row, made)] if "moulding" in row else Section(
            None, fold(row.get("material")), reader.thickness(row), reader.length(row, "width"))
        loose.append((str(row["name"]), int(row.get("quantity", 1)), reader.length(row, "length"), section,
                      4 if row.get("ends") == "miter" else None, "wanted"))
    loose = [(*line, False) for line in loose]
    for name, copies, long, section, sides, on_edge in spacers(reader, frames):
        loose.append((unused(name, loose), copies, long, section, sides, "spacer", on_edge))
    for name, *rest in spares(mouldings, sections, frames):
        loose.append((unused(name, loose), *rest, False))
    kerf = reader.setting("rip", "resaw-kerf", None) if rip else None
    if kerf is not None:
        resaw = {"kerf": kerf, "planing": reader.setting("rip", "resaw-planing", "1/8 in"),
                 "widest": reader.setting("rip", "resaw-widest", None)}
        used = [sections[name] for _, name, _ in frames] + [line[3] for line in loose]
        wanted = {section.thickness for section in used} - {None}
        job.boards = [board.resawn(resaw, wanted) for board in job.boards]
        job.ways = {name: [its.resawn(resaw, wanted) if isinstance(its, Board) else its for its in listed]
                    for name, listed in job.ways.items()}
    miters = {(name, len(rails)) for _, name, rails in frames} | {(p[3].moulding, p[4]) for p in loose if p[4]}

    def add(owner, copies, side, long, short, section, sides, **more):
        kerf, overlap, name = kerf_along(job.kerf, sides), 0, section.moulding
        turns = name and {"after-cutting", "symmetric"} & {mouldings[name].get(key) for key in ("milled", "section")}
        if turns and sides in sorted(n for m, n in miters if m == name)[:6] and not more.get("row"):
            if long > 2 * times_tan(section.width, sides, True):
                overlap = times_tan(section.width, sides, False)
        kerf = 0 if more.get("purpose") == "spare_offcut" else kerf
        for copy in range(1, copies + 1):
            item = owner[1] + (f" #{copy}" if copies > 1 else "") + (f" {side}" if side else "")
            job.parts.append(Part(owner, copy, side, item, long, short, section, sides, kerf, overlap, **more))

    for row, name, rails in frames:
        wish = row.get("grain", mouldings[name].get("grain", "none"))
        wish = granted(job, sections[name], row.get("board"), rails, wish,
                       reader.told("shop", "long-chains")[1], str(row["name"]) in parted)
        rows = grain_rows([side for side, _, _ in rails], wish)
        job.grains.append(wish)
        for side, long, short in rails:
            add(("frame", str(row["name"])), int(row.get("quantity", 1)), side, long, short, sections[name], len(rails),
                board=row.get("board"), row=next((r for r in rows if side in r), ()))
    for name, copies, long, section, sides, purpose, on_edge in loose:
        slanted = section.thickness if on_edge else section.width
        short = long - 2 * times_tan(slanted, sides, True) if sides and slanted is not None else None
        if short is not None and short <= 0:
            # It ends in a point.
            short = None
        add(("piece", name), copies, None, long, short, section, sides, purpose=purpose)
    return job


def unused(name, loose):
    """The name of a piece that follows from others, with a `+` for each time that there is one so called."""
    while name in {line[0] for line in loose}:
        name += "+"
    return name


def spacers(reader, frames):
    """The strips of spacers that are cut from boards, as `boxes` of the guide tells."""
    kinds = {str(row["name"]): (its, row) for its, row in reader.rows("spacers")}
    for row, _, rails in frames:
        if "spacer" not in row or row.get("held"):
            continue
        its, kind = kinds[str(row["spacer"])]
        if str(kind.get("bought", "")).lower() == "true":
            continue
        wide, deep = its.length(kind, "width"), reader.length(row, "box-depth") or its.length(kind, "depth")
        on_edge = kind.get("strips", "on-edge") == "on-edge"
        section = Section(None, fold(kind.get("material")), *((wide, deep) if on_edge else (deep, wide)))
        sides, butted = len(rails), kind.get("ends") == "butted"
        package = row["package"]
        upright = package[-1] - (2 * wide if butted else 0)
        name, copies = f"{row['name']} spacer", int(row.get("quantity", 1))
        ends = None if butted else sides
        if upright == package[0]:
            yield name, sides * copies, package[0], section, ends, on_edge
        else:
            yield f"{name} across", 2 * copies, package[0], section, ends, on_edge
            yield f"{name} upright", 2 * copies, upright, section, ends, on_edge


def spares(mouldings, sections, frames):
    """Spare rails and spare offcuts, by moulding in the order of the job."""
    for name, moulding in mouldings.items():
        wish = str(moulding.get("spare", 0))
        rails = [(long, len(sides), int(row.get("quantity", 1)))
                 for row, its, sides in frames if its == name for _, long, _ in sides]
        if wish == "0" or not rails:
            continue
        longest = max(long for long, _, _ in rails)
        if wish == "offcut":
            yield f"spare offcut {name}", 1, longest, sections[name], None, "spare_offcut"
            continue
        share = re.fullmatch(r"(.+?)\s*%", wish)
        many = math.ceil(number(share[1]) * sum(n for *_, n in rails) / 100) if share else int(wish)
        square_corner = any(sides == 4 for long, sides, _ in rails if long == longest)
        yield f"spare {name}", many, longest, sections[name], 4 if square_corner else None, "spare_rail"


def granted(job, section, own, rails, wish, pairs, parted):
    """What is granted of a frame's grain: pairs where all in a row fit on no board, or are parted, if the shop grants."""
    if wish != "frame" or not pairs:
        return wish
    kerf = kerf_along(job.kerf, len(rails))
    whole = sum(long for _, long, _ in rails) + (len(rails) - 1) * kerf
    fits = any(own in (None, board.name) and board.supply != 0 and job.suits(section, board)
               and job.longest_run(section, board, kerf) >= whole for board in job.boards)
    job.parted |= fits and parted
    return "frame" if fits and not parted else pairs


def grain_rows(names, wish):
    """The rows of rails that a frame's grain asks for."""
    sides = len(names)
    order = ["left", "top", "right", "bottom"] if names[0] == "top" else names
    if wish == "opposite":
        return [(names[i], names[i + sides // 2]) for i in range(sides // 2)]
    return {"none": [], "frame": [tuple(order)]}.get(
        wish, [(order[i], order[i + 1]) for i in range(0, sides - 1, 2)])
