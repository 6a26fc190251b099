"""What a job asks for, read from its own files: parts with their lengths, and boards with their prices.

Written from the guide (`longpoint help job` and its topics) and `src/planfile/format.md`, not from the program.
All lengths are whole nanometers, all money whole minor units; nothing here is a float.
What this reader leaves out it refuses by `Unread`, so that nothing is taken for checked that was not: `nominal` and
`surfaced` sizes, and spares and grain of frames that name their board.
"""

import csv
import decimal
import io
import math
import re
import tomllib
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

INCH = 25_400_000
UNITS = {"in": INCH, '"': INCH, "ft": 12 * INCH, "'": 12 * INCH, "mm": 10**6, "cm": 10**7, "m": 10**9}
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
        body, sign = re.fullmatch(r"(.*?)\s*(in|\"|mm|cm|m|)", text).groups()
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


# ------------------------------------------------------------------ what a job has

@dataclass(frozen=True)
class Section:
    """What a strip is milled to: a moulding, or plain wood of some material, thickness and width."""
    moulding: str | None
    material: str | None
    thickness: int | None
    width: int | None
    thicker: bool = False

    def same_wood(self, board):
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
    length: int
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
    defects: tuple  # of (from, to, "full", "left" or "right", depth)


@dataclass
class Job:
    kerf: int
    trim: int
    rip: dict | None
    parts: list = field(default_factory=list)
    boards: list = field(default_factory=list)
    shape: dict = field(default_factory=dict)  # sizes of each frame, to hold those of the file against

    def cost(self, board):
        """What a board counts in the value of a plan."""
        if any(b.price is not None and not (b.rack and b.price == 0) for b in self.boards):
            return board.price or 0
        return 0 if board.rack and board.price == 0 else board.length

    def one_strip(self, section, board):
        """Whether the board is one strip of the section by itself."""
        if section.width is None or board.width is None or board.width == section.width:
            return True
        return self.rip is None and board.width >= section.width

    def ripped(self, section, board):
        """Width of a strip of the section if the board is ripped to such strips, else None."""
        if self.one_strip(section, board) or self.rip is None:
            return None
        wide = section.width + self.rip["planing"]
        return wide if wide <= board.width - self.rip["straightening"] else None

    def suits(self, section, board):
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
        each at least as long as the widest kerf; those that lie over each other are one."""
        taken = []
        for a, b, across, depth in board.defects:
            if near is not None and across != "full":
                slack = self.rip["straightening"]
                if across == "left" and near >= depth or across == "right" and far <= board.width - slack - depth:
                    continue
            taken.append((a, max(b, a + widest)))
        merged = []
        for a, b in sorted(taken):
            if merged and a < merged[-1][1]:
                merged[-1] = (merged[-1][0], max(merged[-1][1], b))
            else:
                merged.append((a, b))
        return merged


# ------------------------------------------------------------------ reading

COLUMNS = {"name": ("frame", "piece", "board", "name"), "quantity": ("quantity", "qty")}


def table(folder, value, first):
    """The rows of a table that stands in the job, or in one or more CSV files."""
    if isinstance(value, list) and all(isinstance(row, dict) for row in value):
        rows = [dict(row) for row in value]
    else:
        rows = []
        for name in [value] if isinstance(value, str) else value:
            text = (folder / name).read_text(encoding="utf-8-sig")
            head = text.split("\n", 1)[0]
            mark = max(",;\t", key=head.count)
            for row in csv.DictReader(io.StringIO(text), delimiter=mark, skipinitialspace=True):
                row = {k.strip(): v.strip() for k, v in row.items() if k and v and v.strip()}
                if row:
                    rows.append(row)
    for row in rows:
        for alias in (first, "name"):
            if alias in row:
                row["name"] = str(row.pop(alias))
        if "qty" in row:
            row["quantity"] = row.pop("qty")
    return rows


def price_of(text, board_length, width, thickness, job):
    """A price for one board, by length or by the board foot, to the nearest minor unit, a half up."""
    amount, _, per = str(text).partition("/")
    exact = number(amount) * 10 ** job["decimals"]
    per = per.strip()
    if per == "bf":
        inches = max(Fraction(thickness, INCH), 1)
        feet = Fraction(board_length * width, (12 * INCH) ** 2)
        exact *= (math.floor(feet + Fraction(1, 2)) if job["surface"] else feet) * inches
    elif per:
        unit = UNITS[per] if per in UNITS else length(per, job["unit"])
        exact *= Fraction(board_length, unit)
    return math.floor(exact + Fraction(1, 2))


def defects_of(text, unit, width):
    """`23 to 25 1/2; 61 to 62 left`: without a depth half of the width, rounded up."""
    found = []
    for piece in filter(None, (p.strip() for p in (text or "").split(";"))):
        match = re.fullmatch(r"(.+?)\s+to\s+(.+?)(?:\s+(left|right)(?:\s+(.+))?)?", piece)
        a, b, side, depth = match.groups()
        if side:
            depth = length(depth, unit) if depth else ceil_div(width, 2) if width else None
        found.append((length(a, unit), length(b, unit), side or "full", depth))
    return tuple(found)


def read_boards(raw, folder, head):
    boards, unit = [], head["unit"]
    for kind in ("boards", "tally", "rack"):
        for place, row in enumerate(table(folder, raw.get(kind, []), "board"), 1):
            if {"nominal", "surfaced"} & set(row):
                raise Unread("nominal and surfaced sizes")
            if "name" not in row:
                row["name"] = f"{Path(raw[kind]).stem} row {place}"
            long, wide = length(row["length"], unit), row.get("width")
            wide = None if wide is None else length(wide, unit)
            thick = row.get("thickness")
            thick = None if thick is None else thickness_of(thick, unit)
            supply = row.get("quantity", None if kind == "boards" else 1)
            price = row.get("price") if kind != "rack" else row.get("value", row.get("paid"))
            if price is not None:
                price = price_of(price, long, wide, thick, head)
            boards.append(Board(row["name"], long, None if supply is None else int(supply), price,
                                fold(row.get("material")), thick, wide, kind == "rack",
                                defects_of(row.get("defects"), unit, wide)))
    return boards


def thickness_of(text, unit):
    match = re.fullmatch(r"(\d+)/4", str(text).strip())
    return int(match[1]) * INCH // 4 if match and int(match[1]) >= 4 else length(text, unit)


def fold(text):
    return None if text is None else str(text).casefold()


def truth(value):
    return value is True or str(value) == "true"


def frame_size(row, unit, shop, face, lip):
    """Package and outside of a frame, as `frames` and `mats` of the guide tell: lists of two sides, or of one."""
    sides = int(row["sides"]) if "sides" in row else None
    art = [length(row[k], unit) for k in (("art-width",) if sides else ("art-width", "art-height"))]
    names = ("mat-top", "mat-right", "mat-bottom", "mat-left")
    package = art
    if "package-width" in row:
        package = [length(row[key], unit) for key in ("package-width", "package-height")]
    elif "mat-border" in row or any(name in row for name in names):
        top, right, bottom, left = (length(row.get(name, row.get("mat-border")), unit) for name in names)
        lap = length(row["overlap"], unit) if "overlap" in row else shop["lap"]
        lap = 0 if row.get("mount") == "float" else lap
        package = [art[0] + left + right - 2 * lap, art[1] + top + bottom - 2 * lap]
    more = 2 * face + (2 * length(row["tray-gap"], unit) if "tray-gap" in row else shop["fit"] - 2 * lip)
    if sides:
        return package, [package[0] + times_tan(more, sides, True)], sides
    return package, [size + more for size in package], 4


def read(path):
    """The job of a TOML file and its tables."""
    path = Path(path)
    raw = tomllib.loads(path.read_text(encoding="utf-8"), parse_float=decimal.Decimal)
    unit = raw.get("unit", "in")

    def setting(name, key, default):
        return length(raw.get(name, {}).get(key, default), unit)

    shop = {"fit": setting("shop", "fit-allowance", "1/8 in"), "lap": setting("shop", "mat-overlap", "1/4 in")}
    rip = {key: setting("rip", key, default) for key, default in
           (("kerf", "1/8 in"), ("straightening", "0 in"), ("planing", "0 in"))} if "rip" in raw else None
    job = Job(setting("saw", "kerf", "1/8 in"), setting("saw", "end-trim", "1/2 in"), rip)
    head = {"unit": unit, "decimals": raw.get("currency-decimals", 2),
            "surface": raw.get("shop", {}).get("board-measure") == "surface"}
    job.boards = read_boards(raw, path.parent, head)
    mouldings = {str(row["name"]): row for row in table(path.parent, raw.get("mouldings", []), "name")}
    sections = {name: Section(name, fold(row.get("material")),
                              thickness_of(row["thickness"], unit) if "thickness" in row else None,
                              length(row["face-width"], unit), truth(row.get("thicker-stock")))
                for name, row in mouldings.items()}
    rails = []  # (moulding, row or None, owner, copies, side, length, sides, row of sides, purpose)
    chains = []
    for row in table(path.parent, raw.get("frames", []), "frame"):
        name = row.get("moulding") or next(iter(mouldings))
        moulding = mouldings[name]
        face, lip = sections[name].width, length(moulding.get("lip", "1/4 in"), unit)
        package, outside, sides = frame_size(row, unit, shop, face, lip)
        job.shape[row["name"]] = (package, outside, sides)
        labels = [f"side {i + 1}" for i in range(sides)] if "sides" in row else list(SIDES)
        lengths = [outside[i % len(outside)] for i in range(sides)]
        wish = row.get("grain", moulding.get("grain", "none"))
        chains.append((name, row, labels, lengths, sides, wish))
    loose = [(str(row["name"]), row) for row in table(path.parent, raw.get("pieces", []), "piece")]
    turnable = {name for name, row in mouldings.items()
                if row.get("milled") == "after-cutting" or row.get("section") == "symmetric"}
    spares = spare_pieces(job, mouldings, sections, chains, setting("shop", "shortest-offcut", "12 in"))
    used = {}  # sides of polygons by moulding, of which only the six of fewest sides may be turned
    for name, _, _, _, sides, _ in chains:
        used.setdefault(name, set()).add(sides)
    for name, row in loose:
        if row.get("ends") == "miter" and "moulding" in row:
            used.setdefault(row["moulding"], set()).add(4)

    def add(owner, copies, side, long, section, sides, **more):
        kerf, overlap, name = kerf_along(job.kerf, sides), 0, section.moulding
        if sides and name in turnable and sides in sorted(used[name])[:6] and not more.get("row"):
            if long - 2 * times_tan(section.width, sides, True) > 0:
                overlap = times_tan(section.width, sides, False)
        for copy in range(1, copies + 1):
            item = owner[1] + (f" #{copy}" if copies > 1 else "") + (f" {side}" if side else "")
            job.parts.append(Part(owner, copy, side, item, long, section, sides,
                                  0 if more.get("purpose") == "spare_offcut" else kerf, overlap, **more))

    pairs = raw.get("shop", {}).get("long-chains", "refuse")
    for name, row, labels, lengths, sides, wish in chains:
        rows = grain_rows(job, sections[name], row, labels, lengths, sides, wish, pairs)
        for side, long in zip(labels, lengths):
            stand = next((r for r in rows if side in r), ())
            add(("frame", row["name"]), int(row.get("quantity", 1)), side, long, sections[name], sides,
                board=row.get("board"), row=stand)
    for name, row in loose:
        section = sections[row["moulding"]] if "moulding" in row else Section(
            None, fold(row.get("material")), thickness_of(row["thickness"], unit) if "thickness" in row else None,
            length(row["width"], unit) if "width" in row else None)
        add(("piece", name), int(row.get("quantity", 1)), None, length(row["length"], unit), section,
            4 if row.get("ends") == "miter" else None)
    for name, copies, long, section, sides, purpose in spares:
        add(("piece", name), copies, None, long, section, sides, purpose=purpose)
    return job


def spare_pieces(job, mouldings, sections, chains, keep):
    """Spare rails and spare offcuts, by moulding in the order of the job."""
    found = []
    for name, row in mouldings.items():
        wish = row.get("spare")
        mine = [(long, sides, int(frame.get("quantity", 1)), frame)
                for frame_moulding, frame, _, lengths, sides, _ in chains if frame_moulding == name for long in lengths]
        if wish in (None, 0, "0") or not mine:
            continue
        if any("board" in frame for _, _, _, frame in mine):
            raise Unread("spares of a moulding with a frame that names its board")
        longest = max(long for long, *_ in mine)
        sides = {s for long, s, *_ in mine if long == longest}
        sides = 4 if 4 in sides else None
        if wish == "offcut":
            found.append((f"spare offcut {name}", 1, max(longest + job.trim, keep), sections[name], None, "spare_offcut"))
            continue
        share = re.fullmatch(r"(.+?)\s*%", str(wish))
        count = (math.ceil(number(share[1]) * sum(copies for _, _, copies, _ in mine) / 100) if share else int(wish))
        found.append((f"spare {name}", count, longest, sections[name], sides, "spare_rail"))
    return found


def grain_rows(job, section, row, labels, lengths, sides, wish, pairs):
    """The rows of rails that a frame's grain asks for; pairs where all in a row fit on no board, if the shop grants."""
    if wish == "none":
        return []
    if "board" in row:
        raise Unread("grain of a frame that names its board")
    order = ["left", "top", "right", "bottom"] if labels[0] == "top" else labels
    if wish == "frame":
        kerf = kerf_along(job.kerf, sides)
        whole = sum(lengths) + (sides - 1) * kerf
        if any(job.suits(section, board) and board.supply != 0 and longest_run(job, section, board, kerf) >= whole
               for board in job.boards):
            return [tuple(order)]
        wish = pairs
    if wish == "opposite":
        return [(labels[i], labels[i + sides // 2]) for i in range(sides // 2)]
    return [(order[i], order[i + 1]) for i in range(0, sides - 1, 2)]


def longest_run(job, section, board, widest):
    """The longest clear run of a strip of the section from the board."""
    wide = job.ripped(section, board)
    if wide is None:
        tries = [job.stretches(board, None, None, widest)]
    else:
        starts = {0} | {depth for _, _, across, depth in board.defects if across == "left"}
        tries = [job.stretches(board, x, x + wide, widest) for x in starts
                 if x + wide <= board.width - job.rip["straightening"]]
    return max((b - a for taken in tries for a, b in job.clear(board, taken)), default=0)
