"""What is cut from sheets, and the proof of its bounds: from the job's tables and `src/planfile/format.md` alone."""

import math
from collections import Counter
from dataclasses import dataclass, field

import job as jobs
import plan as plans
from plan import keys, need, whole

plans.KEYS |= {
    "material": "use name value lower_bound missing_lower_bound proved_optimal stopped fallout any_cuts sheets missing certificate",
    "sheet": "stock window_of label width_nm height_nm price_minor strips_along_width strips",
    "strip of a sheet": "from_nm width_nm stacks",
    "stack of a sheet": "from_nm length_nm cuts",
    "cut of a sheet": "piece from_nm to_nm along_nm turned",
    "piece of a sheet": "frame copy use mat_layer",
    "proof of sheets": "missing missing_proof cost proof",
    "proof in three": "cost prices",
    "prices in three": "scale size_prices",
    "prices of sizes": "scale size_prices case_prices",
    "cases of sheets": "count beds width_nm sizes at_most under over",
    "bed": "kind along_width",
    "strip holds": "sizes at_least",
}
USES = ("mat", "glazing", "backing", "dust_cover")
SQUARE_MM = 10 ** 12
MOST_SUMS = 8_000_000
MOST_STEPS = 200_000


@dataclass
class Stock:
    """Sheets of one size; `trim` is left, right, bottom, top."""
    width: int
    height: int
    trim: tuple
    supply: int | None
    price: int | None
    label: str | None = None


@dataclass
class Material:
    kerf: int
    first: int | None
    second: int | None
    third: bool
    turn: bool
    least: int
    loss: int | None
    trim: tuple
    stock: list = field(default_factory=list)
    wanted: dict = field(default_factory=dict)  # piece: (width, height)
    windows: dict = field(default_factory=dict)  # piece: (width, height)

    def counts(self):
        """What each of the stock counts."""
        priced = any(s.price is not None for s in self.stock if s.label is None)
        return [(s.price or 0) if priced else 0 if s.label is not None else -(-s.width * s.height // SQUARE_MM)
                for s in self.stock]

    def fits(self, size):
        """Whether a piece can be cut from some sheet that is there."""
        for stock in self.stock:
            left, right, bottom, top = stock.trim
            for wide, high in {size, size[::-1]} if self.turn else {size}:
                lies = stock.supply != 0 and wide <= stock.width - left - right and high <= stock.height - bottom - top
                for first, second in ((stock.width, high), (stock.height, wide)):
                    if lies and (self.first is None or first <= self.first) and (self.second is None or second <= self.second):
                        return True
        return False

    def drops(self):
        """The windows whose fallout is large enough to be cut, by piece; a piece that fits no sheet has none."""
        least = self.least + 2 * self.loss
        return {piece: size for piece, size in self.windows.items()
                if min(size) >= least and self.fits(self.wanted[piece])}


def is_true(row, key, left_out):
    return str(row.get(key, left_out)).lower() == "true"


def read(path):
    """The materials whose sheets the job states, by use and name, with what its frames want of them."""
    reader = jobs.Reader(path)
    money = lambda its, row, key: int(jobs.number(str(row[key])) * 10 ** its.decimals()) if key in row else None
    saw = reader.setting("saw", "kerf", "1/8 in")
    found = {}
    for its, row in reader.rows("sheets"):
        edges = tuple(its.length(row, f"trim-{edge}") for edge in ("left", "right", "bottom", "top"))
        trim = tuple(its.length(row, "trim", "0 in") if edge is None else edge for edge in edges)
        plywood = row["use"].lower() == "plywood"
        sawn = row.get("cut", "sawn" if plywood else "scored") == "sawn"
        kerf = (its.length(row, "kerf") if "kerf" in row else saw) if sawn else 0
        usual = "1/8 in" if reader.unit in ("in", "ft") else "3 mm"
        loss = its.length(row, "fallout-loss", usual) if is_true(row, "fallout", False) and row["use"] == "mat" else None
        material = Material(kerf, its.length(row, "longest-first-cut"), its.length(row, "longest-second-cut"),
                            is_true(row, "third-cuts", False), is_true(row, "turn", not plywood), its.length(row, "least-piece", "8 in"), loss, trim)
        if "width" in row:
            material.stock.append(Stock(its.length(row, "width"), its.length(row, "height"), trim, None, money(its, row, "price")))
        use = "backing" if plywood else row["use"].lower().replace("-", "_")
        found[use, str(row["name"])] = material
    by_name = {name: material for (_, name), material in found.items()}
    for table, worth in (("sheet-stock", "price"), ("sheet-rack", "value")):
        for its, row in reader.rows(table, "sheet"):
            material = by_name[str(row["name"])]
            rack = table == "sheet-rack"
            trim = (its.length(row, "trim", "0 in" if rack else None),) * 4
            supply = row.get("quantity", 1 if rack else None)
            material.stock.append(Stock(
                its.length(row, "width"), its.length(row, "height"), material.trim if None in trim else trim,
                None if supply is None else int(supply), money(its, row, worth), str(row["label"]) if rack else None))
    stated = {key: material for key, material in found.items() if material.stock}
    for its, row in reader.rows("frames", "frame"):
        want(its, row, stated)
    return {key: material for key, material in stated.items() if material.wanted}


def want(its, row, stated):
    """What a row of frames wants, copy by copy."""
    mats = [name for use, name in stated if use == "mat"]
    only = mats[0] if len(mats) == 1 else None
    borders = [f"mat-{side}" for side in ("top", "right", "bottom", "left")]
    has_mat = {"mat-border", "package-width", *borders} & set(row) and "tray-gap" not in row
    sheets = [("glazing", None, row.get("glazing"), None), ("backing", None, row.get("backing"), None)]
    has_cover = "tray-gap" not in row and is_true(row, "dust-cover", True)
    sheets += [("dust_cover", None, name, None) for use, name in stated if use == "dust_cover" and has_cover]
    if "sides" in row:
        if any((use, name) in stated for use, _, name, _ in sheets):
            raise jobs.Unread("sheets for a polygon")
        return
    size = [its.length(row, "art-width"), its.length(row, "art-height")]
    if has_mat:
        lap = its.length(row, "overlap") if "overlap" in row else its.setting("shop", "mat-overlap", "1/4 in")
        floats = row.get("mount") == "float"
        opening = size if floats else [side - 2 * lap for side in size]
        if "package-width" in row:
            size = [its.length(row, "package-width"), its.length(row, "package-height")]
        else:
            top, right, bottom, left = (its.length(row, name, row.get("mat-border")) for name in borders)
            size = [opening[0] + left + right, opening[1] + top + bottom]
        layers, reveal = int(row.get("mat-layers", 1)), its.length(row, "reveal", "1/4 in")
        lower = [name.strip() for name in str(row.get("lower-mat", "")).split(";") if name.strip()]
        for layer in range(1, layers + 1):
            below = layer - 1
            name = row.get("mat") if below == 0 or not lower else lower[min(below, len(lower)) - 1]
            shown = 2 * reveal * (layers - layer)
            window = None if floats and layer == layers else tuple(side + shown for side in opening)
            sheets.append(("mat", layer, only if name is None else name, window))
    # The mats lie round the art, in the innermost frame; all else in the outermost, round the frames inside of it.
    around = round_liners(its, row, size)
    own = str(row["name"])
    for use, layer, name, window in sheets:
        material = stated.get((use, None if name is None else str(name)))
        for copy in range(1, int(row.get("quantity", 1)) + 1) if material else ():
            piece = (f"{own} liner" if use == "mat" and "liner" in row else own, copy, use, layer)
            material.wanted[piece] = tuple(size if use == "mat" else covered(its, row) if use == "dust_cover" else around)
            if window:
                material.windows[piece] = window


def covered(its, row):
    """What the dust cover of a frame is cut to: its outside less a margin at each edge, and larger by what is trimmed later."""
    made = jobs.in_woods(its.rows("mouldings"))
    liners = [name.strip() for name in str(row["liner"]).split(";")] if "liner" in row else []
    around = [made[name] for name in [*liners, jobs.moulding_of(row, made)]]
    rails = its.frame(dict(row), [(own.length(moulding, "face-width"), own.length(moulding, "lip", "1/4 in")) for own, moulding in around])
    margin = its.setting("assembly", "dust-cover-margin", "1/8 in" if its.unit in ("in", "ft") else "3 mm")
    oversize = its.setting("assembly", "dust-cover-oversize", "0 in")
    return [long - 2 * margin + 2 * oversize for _, long, _ in rails[:2]]


def round_liners(its, row, size):
    """The package of the outermost frame: each frame inside has its outside for the package of the next."""
    if "liner" not in row:
        return size
    made = jobs.in_woods(its.rows("mouldings"))
    play = its.setting("shop", "fit-allowance", "1/8 in")
    for name in str(row["liner"]).split(";"):
        own, moulding = made[name.strip()]
        more = play + 2 * own.length(moulding, "face-width") - 2 * own.length(moulding, "lip", "1/4 in")
        size = [side + more for side in size]
        play = its.length(row, "liner-play", "1/8 in")
    return size


def piece_of(found):
    keys("piece of a sheet", found)
    return (found["frame"], found["copy"], found["use"], found["mat_layer"])


def check(path, file):
    """A `Fault` where what the file says of sheets does not hold."""
    materials = read(path)
    order = sorted(materials, key=lambda key: (USES.index(key[0]), key[1]))
    told = [keys("material", found) for found in file["materials"]]
    need([(found["use"], found["name"]) for found in told] == order, "other materials than the job needs")
    for found, key in zip(told, order):
        cuts(materials[key], found)
        need(found["any_cuts"] == (not found["missing"] and by_face(materials[key], found)), "whether other cuts are ruled out")
        Proof(materials[key], found).check()


def by_face(material, found):
    """Whether no sheets that count less than the plan have the face of all that is wanted."""
    face = lambda width, height: (width + material.kerf) * (height + material.kerf)
    kinds = [(price, face(s.width - s.trim[0] - s.trim[1], s.height - s.trim[2] - s.trim[3]), s.supply)
             for s, price in zip(material.stock, material.counts())]
    if found["fallout"]:
        kinds += [(0, face(*(side - 2 * material.loss for side in size)), 1) for size in material.drops().values()]
    step = math.gcd(*(price for price, _, _ in kinds))
    if found["value"] == 0:
        return True
    if step == 0 or (found["value"] - 1) // step > MOST_STEPS:
        return False
    best = {0: 0}
    for price, own, supply in kinds:
        if price == 0 and supply is None:
            return False
        if price == 0:
            best = {cost: have + supply * own for cost, have in best.items()}
            continue
        left = (found["value"] - 1) // price
        left = left if supply is None else min(supply, left)
        part = 1
        while left > 0:
            part = min(part, left)
            for cost, have in list(best.items()):
                at = cost + part * price
                if at < found["value"]:
                    best[at] = max(best.get(at, 0), have + part * own)
            left, part = left - part, 2 * part
    wanted = sum(face(*size) for size in material.wanted.values())
    return all(have < wanted for have in best.values())


def cuts(material, found):
    """Every piece once and where it may lie, every sheet there, and the sum."""
    seen, taken, value, fresh = Counter(), Counter(), 0, set()
    counts = material.counts()
    drops = material.drops() if found["fallout"] and material.loss is not None else {}
    need(not found["fallout"] or material.loss is not None
         and not any(material.fits(material.wanted.get(piece_of(gone), (0, 0))) for gone in found["missing"]),
         "fallout that is not there")
    for sheet in found["sheets"]:
        keys("sheet", sheet)
        if sheet["stock"] is not None:
            need(0 <= whole(sheet["stock"]) < len(material.stock) and sheet["window_of"] is None, "no such sheet")
            stock = material.stock[sheet["stock"]]
            taken[sheet["stock"]] += 1
            value += counts[sheet["stock"]]
        else:
            mat = piece_of(sheet["window_of"])
            need(mat in drops and mat in fresh, "nothing has dropped out of that window")
            fresh.remove(mat)
            stock = Stock(*drops[mat], (material.loss,) * 4, None, None)
        said = [sheet[key] for key in ("width_nm", "height_nm", "price_minor", "label")]
        need(said == [stock.width, stock.height, stock.price, stock.label], "a sheet is not as in the job")
        own = list(lay(material, stock, sheet))
        seen.update(own)
        fresh.update(own)
    seen.update(piece_of(gone) for gone in found["missing"])
    need(seen == Counter(dict.fromkeys(material.wanted, 1)), "not every piece stands once")
    for idx, stock in enumerate(material.stock):
        need(stock.supply is None or taken[idx] <= stock.supply, "more sheets than there are")
    need(found["value"] == value, f"the sheets count {value}")
    missing = len(found["missing"])
    fewest = whole(found["missing_lower_bound"]) == missing
    # The bounds are those of plans in two stages; one in three may have a smaller value than all of them.
    three = any(len(stack["cuts"]) > 1 for sheet in found["sheets"] for strip in sheet["strips"] for stack in strip["stacks"])
    need(found["missing_lower_bound"] <= missing and (three or not fewest or found["lower_bound"] <= value), "a bound above the value")
    in_three = found["certificate"].get("in_three")
    need(in_three is None or whole(in_three["cost"], 1) <= value, "a bound in three stages above the value")
    met = fewest and in_three is not None and in_three["cost"] == value
    best = found["any_cuts"] or met if three else fewest and found["lower_bound"] == value
    need(found["proved_optimal"] == best, "proved or not")


def lay(material, stock, sheet):
    """The pieces of a sheet, each looked at."""
    left, right, bottom, top = stock.trim
    spans = [(left, stock.width - right, stock.width), (bottom, stock.height - top, stock.height)]
    (low, high, first), (near, far, _) = spans if sheet["strips_along_width"] else spans[::-1]
    need(material.first is None or first <= material.first, "the first cuts are too long")
    need(sheet["strips"], "a sheet without a strip")
    free = near
    for strip in sheet["strips"]:
        keys("strip of a sheet", strip)
        begin, width = whole(strip["from_nm"]), whole(strip["width_nm"], 1)
        need(free <= begin and begin + width <= far, "a strip is where it may not be")
        need(material.second is None or width <= material.second, "the second cuts are too long")
        free = begin + width + material.kerf
        at, ends = low, []
        for stack in strip["stacks"]:
            keys("stack of a sheet", stack)
            start, length, cuts_ = whole(stack["from_nm"]), whole(stack["length_nm"], 1), stack["cuts"]
            need(at <= start and start + length <= high, "a stack is where it may not be")
            at = start + length + material.kerf
            need(cuts_ and (len(cuts_) == 1 or material.third), "third cuts that may not be made, or nothing in a stack")
            need(cuts_[0]["from_nm"] == begin, "a stack does not begin where its strip does")
            up = begin
            for cut in cuts_:
                keys("cut of a sheet", cut)
                piece = piece_of(cut["piece"])
                need(piece in material.wanted, "no such piece")
                wide, high_ = material.wanted[piece][::-1] if cut["turned"] else material.wanted[piece]
                need(not cut["turned"] or material.turn or wide == high_, "a piece is turned that must not be")
                along, across = (wide, high_) if sheet["strips_along_width"] else (high_, wide)
                need(cut["to_nm"] - whole(cut["from_nm"]) == across and cut["along_nm"] == along, "the size of a piece")
                need(up <= cut["from_nm"], "a piece is where it may not be")
                up = cut["to_nm"] + material.kerf
                yield piece
            need(length == max(cut["along_nm"] for cut in cuts_), "the length of a stack")
            ends.append(cuts_[-1]["to_nm"])
        need(ends and begin + width == max(ends), "the width of a strip")


def better(pairs):
    """Of pairs of size and worth those of which no other is as small and worth as much."""
    kept = []
    for size, worth in sorted(pairs, key=lambda pair: (pair[0], -pair[1])):
        if not kept or worth > kept[-1][1]:
            kept.append((size, worth))
    return kept


def add(pairs, size, worth, room):
    return [(own + size, value + worth) for own, value in pairs if own + size <= room]


class Proof:
    """The proof of one material, by the section on it in `format.md`."""

    def __init__(self, material, found):
        self.material, self.found = material, found
        demand = Counter(material.wanted.values())
        self.sizes = sorted(demand)
        self.demand = [demand[size] for size in self.sizes]
        self.kinds = [(stock.width, stock.height, stock.trim, stock.supply, price)
                      for stock, price in zip(material.stock, material.counts())]
        if found["fallout"]:
            windows = Counter(material.drops().values())
            self.kinds += [(*size, (material.loss,) * 4, windows[size], 0) for size in sorted(windows)]
        self.beds = [[(kind, along) for along in (True, False)
                      if material.first is None or self.kinds[kind][0 if along else 1] <= material.first]
                     for kind in range(len(self.kinds))]
        fits = [[any(along <= self.usable(bed)[0] and across <= self.usable(bed)[1]
                     for bed in beds for along, across in self.lies(size, bed[1]))
                 for size in range(len(self.sizes))] for beds in self.beds]
        supply = [2**32 if kind[3] is None else kind[3] for kind in self.kinds]
        self.most = [min(many, sum(d for d, ok in zip(self.demand, own) if ok)) for many, own in zip(supply, fits)]
        self.fits = [any(fits[kind][size] and self.kinds[kind][3] != 0 for kind in range(len(self.kinds)))
                     for size in range(len(self.sizes))]

    def usable(self, bed):
        """Usable size along the strips of a bed, and across them."""
        width, height, (left, right, bottom, top), _, _ = self.kinds[bed[0]]
        both = (width - left - right, height - bottom - top)
        return both if bed[1] else both[::-1]

    def lies(self, size, along):
        """The ways that a piece may lie on strips: along and across."""
        width, height = self.sizes[size]
        natural = (width, height) if along else (height, width)
        ways = {natural, natural[::-1]} if self.material.turn else {natural}
        second = self.material.second
        return [way for way in ways if second is None or way[1] <= second]

    def check(self):
        found = dict(self.found["certificate"])
        in_three = found.pop("in_three", None)
        found = keys("proof of sheets", found)
        aside = sum(d for d, ok in zip(self.demand, self.fits) if not ok)
        missing = whole(found["missing"], 0) - aside
        need(missing >= 0, "fewer are missing than fit no sheet")
        if missing:
            self.tree(found["missing_proof"], missing, None)
        if whole(found["cost"]) > 0:
            self.tree(found["proof"], found["cost"], missing)
        need(self.found["missing_lower_bound"] == found["missing"] and self.found["lower_bound"] <= found["cost"],
             "a bound of sheets is not proved")
        if in_three is not None:
            keys("proof in three", in_three)
            need(missing == 0, "pieces are missing that fit a sheet")
            views = []
            for own in in_three["prices"]:
                keys("prices in three", own)
                scale, prices = whole(own["scale"], 0), [whole(price, 0) for price in own["size_prices"]]
                need(len(prices) == len(self.sizes), "prices in three stages")
                prices = [price if ok else 0 for price, ok in zip(prices, self.fits)]
                worths = [max((self.stacked(bed, prices) for bed in beds), default=0) for beds in self.beds]
                views.append((scale, worths, sum(d * price for d, price in zip(self.demand, prices))))
            alike = Counter()  # what costs the same and is worth the same at all prices stands for each other
            for kind, most in enumerate(self.most):
                alike[self.kinds[kind][4], tuple(worths[kind] for _, worths, _ in views)] += most
            groups = [(cost, most, worths) for (cost, worths), most in sorted(alike.items())]
            need(self.ruled_out([view[0] for view in views], groups, self.top(whole(in_three["cost"], 1)),
                                [view[2] for view in views]), "a cheaper set of sheets is not ruled out in three stages")

    def ruled_out(self, scales, groups, budget, wanted):
        """Whether all sets of the groups of sheets that count no more than `budget` hold less than is wanted."""
        room = lambda cost, most: min(most, budget // cost) if cost > 0 else most
        for view, (scale, left) in enumerate(zip(scales, wanted)):
            at_most = sum(room(cost, most) * max(0, worths[view] - scale * cost) for cost, most, worths in groups)
            if left > at_most + (scale * budget if groups else 0):
                return True
        if not groups:
            return False
        (cost, most, worths), rest = groups[0], groups[1:]
        counts = range(room(cost, most), -1, -1) if cost > 0 else [most]
        return all(self.ruled_out(scales, rest, budget - cost * count,
                                  [left - count * worth for worth, left in zip(worths, wanted)])
                   for count in counts)

    def tree(self, nodes, proves, missing):
        need(isinstance(nodes, list) and nodes, "no proof of sheets")
        parents = {0: None}
        for idx, node in enumerate(nodes):
            need(idx in parents, "a node without a parent")
            if "at_most" in node:
                node = nodes[idx] = dict(node)
                holds = node.pop("holds", [])
                keys("cases of sheets", node)
                beds = [(whole(bed["kind"], 0), bed["along_width"]) for bed in node["beds"]]
                # Along the width comes first.
                ranks = [(kind, not along) for kind, along in beds]
                need(ranks == sorted(set(ranks)) and all(kind < len(self.kinds) for kind, _ in beds), "beds of a case")
                sizes = [whole(size, 0) for size in node["sizes"]]
                need(sizes == sorted(set(sizes)) and all(size < len(self.sizes) for size in sizes), "sizes of a case")
                need(node["count"] in ("sheets", "strips", "pieces", "holding") and (not sizes or node["count"] == "pieces"), "a case")
                need(bool(holds) == (node["count"] == "holding") and len(holds) <= len(self.sizes), "what strips hold")
                node["holds"] = []
                for hold in holds:
                    keys("strip holds", hold)
                    own = [whole(size, 0) for size in hold["sizes"]]
                    need(own == sorted(set(own)) and all(size < len(self.sizes) for size in own), "sizes that strips hold")
                    node["holds"].append((set(own), whole(hold["at_least"], 1)))
                for child, over in ((node["under"], False), (node["over"], True)):
                    need(idx < whole(child) < len(nodes) and child not in parents, "a child of a node")
                    parents[child] = (idx, over)
        top = self.top(proves) if missing is not None else proves - 1
        for idx, node in enumerate(nodes):
            if "at_most" in node:
                continue
            keys("prices of sizes", node)
            path, at = [], idx
            while parents[at] is not None:
                at, over = parents[at]
                path.insert(0, (nodes[at], over))
            prices = [whole(price, 0) for price in node["size_prices"]]
            cases = [whole(price) for price in node["case_prices"]]
            need(len(prices) == len(self.sizes) and len(cases) == len(path), "prices of a leaf")
            need(all(price == 0 or (price > 0) == over for price, (_, over) in zip(cases, path)), "the sign of a price")
            scale = whole(node["scale"], 1)
            need(self.bound(scale, prices, list(zip(path, cases)), proves, missing) > scale * top, "a leaf proves too little")

    def top(self, proves):
        """The greatest sum of prices below what is to be proved."""
        priced = [(kind[4], most) for kind, most in zip(self.kinds, self.most) if kind[4] > 0 and most > 0]
        step = 0
        for price, _ in priced:
            step = jobs.math.gcd(step, price)
        if step == 0:
            return 0
        cells = (proves - 1) // step
        if cells + 1 > MOST_SUMS:
            return cells * step
        sums = 1
        for price, most in priced:
            left, bundle = min(most, (proves - 1) // price), 1
            while left > 0:
                own = min(left, bundle)
                sums |= sums << own * (price // step)
                sums &= (1 << cells + 1) - 1
                left, bundle = left - own, bundle * 2
        return (sums.bit_length() - 1) * step

    def bound(self, scale, prices, path, proves, missing):
        prices = [price if ok else 0 for price, ok in zip(prices, self.fits)]
        bound = sum(d * price for d, price in zip(self.demand, prices))
        bound += sum((node["at_most"] + over) * price for (node, over), price in path)
        for kind, (_, _, _, _, cost) in enumerate(self.kinds):
            if self.most[kind] == 0:
                continue
            cost = cost if missing is not None else 0
            excess = max([0] + [self.worth(bed, prices, path) - scale * cost for bed in self.beds[kind]])
            most = self.most[kind]
            if cost > 0:
                most = min(most, (proves - 1) // cost)
            for (node, over), _ in path:
                if not over and node["count"] == "sheets" and node["width_nm"] <= 0 and all(
                        self.on(node, bed) for bed in self.beds[kind]):
                    most = min(most, node["at_most"])
            bound -= excess * most
        if missing is None:
            return bound - sum(d * max(0, price - scale) for d, price in zip(self.demand, prices))
        return bound - missing * max(prices, default=0)

    @staticmethod
    def on(node, bed):
        return any((own["kind"], own["along_width"]) == bed for own in node["beds"])

    def worth(self, bed, prices, path):
        """The most that a sheet of a bed counts with its strips and pieces."""
        length, room = self.usable(bed)
        kerf = self.material.kerf
        length, room = length + kerf, room + kerf
        path = [(node, price) for (node, _), price in path if self.on(node, bed)]
        priced = lambda count, width: [(node, price) for node, price in path if node["count"] == count and node["width_nm"] <= width]
        lies = sorted((across, along + kerf, size) for size in range(len(self.sizes))
                      for along, across in self.lies(size, bed[1]) if along + kerf <= length and self.demand[size])
        strips = {}
        for width in sorted({across for across, _, _ in lies}):
            own = list(prices)
            for node, price in priced("pieces", width):
                for size in node["sizes"]:
                    own[size] += price
            narrower, with_it = [(0, 0)], []
            for across, along, size in lies:
                if across > width:
                    break
                start = narrower if across < width else better(narrower + with_it)
                more, last = [], start
                for _ in range(self.demand[size]):
                    last = add(last, along, own[size], length)
                    if not last:
                        break
                    more = better(more + last)
                    if own[size] <= 0:
                        break
                if across < width:
                    narrower = better(narrower + more)
                else:
                    with_it = better(with_it + more)
            held = [(node["holds"], price) for node, price in priced("holding", width) if price != 0]
            if held:
                with_it = self.holding([lie for lie in lies if lie[0] <= width], width, own, held, length)
            if with_it:
                strips[width] = with_it[-1][1] + sum(price for _, price in priced("strips", width))
        beside, most = [(0, 0)], []
        for width, worth in sorted(strips.items()):
            more = beside if worth > 0 else []
            while more:
                more = add(more, width + kerf, worth, room)
                beside = better(beside + more)
            rest = [value for size, value in beside if size <= room - width - kerf]
            if rest:
                most.append(max(rest) + worth + sum(price for _, price in priced("sheets", width)))
        return max(most, default=0)

    def holding(self, lies, width, prices, held, length):
        """Pairs of length and worth of strips of a width, each size in its shortest way, with what they are worth for what they hold."""
        shortest = {}
        for across, along, size in lies:
            if size not in shortest or along < shortest[size][0]:
                shortest[size] = (along, across == width)
        asked = lambda size: any(size in sizes for holds, _ in held for sizes, _ in holds)
        order = sorted(shortest, key=lambda size: (asked(size), size))
        # By whether a piece is as wide as the strip, and by what may be held how many there are of each part; None once decided.
        ways = {(False, tuple((0,) * len(holds) for holds, _ in held)): [(0, 0)]}
        for idx, size in enumerate(order):
            along, wide = shortest[size]
            later, after = set(order[idx + 1:]), {}
            for (full, counts), pairs in ways.items():
                for many in range(self.demand[size] + 1):
                    pairs = add(pairs, along, prices[size], length) if many else pairs
                    if not pairs:
                        break
                    told, worth = [], 0
                    for (holds, price), own in zip(held, counts):
                        if own is not None:
                            own = tuple(min(least, n + many) if size in sizes else n for (sizes, least), n in zip(holds, own))
                            short = [sizes for (sizes, least), n in zip(holds, own) if n < least]
                            worth += 0 if short else price
                            own = None if not short or any(not sizes & later for sizes in short) else own
                        told.append(own)
                    way = (full or wide and many > 0, tuple(told))
                    after[way] = better(after.get(way, []) + [(long, value + worth) for long, value in pairs])
            ways = after
        return better([pair for (full, _), pairs in ways.items() if full for pair in pairs])

    def stacked(self, bed, prices):
        """The most that a sheet of a bed counts with its pieces in stacks, three stages of cuts."""
        length, room = self.usable(bed)
        kerf, second = self.material.kerf, self.material.second
        widest = room if second is None else min(room, second)
        lies = sorted((along + kerf, across + kerf, size) for size in range(len(self.sizes))
                      for along, across in self.lies(size, bed[1]) if along <= length and across <= widest and prices[size] > 0)
        best, stacks = [(0, 0)], {}  # stacks by length: pairs of width and worth
        for long, wide, size in lies:
            last = best
            for _ in range(self.demand[size]):
                last = add(last, wide, prices[size], widest + kerf)
                best = better(best + last)
            stacks[long] = best
        within = lambda pairs, room: max(worth for size, worth in pairs if size <= room)
        beside, most = [(0, 0)], 0
        for width in sorted({size for pairs in stacks.values() for size, _ in pairs}):
            row = [(0, 0)]
            for long, pairs in stacks.items():
                row = self.any_number(row, long, within(pairs, width), length + kerf)
            worth = within(row, length + kerf)
            if worth > most:
                beside, most = self.any_number(beside, width, worth, room + kerf), worth
        return within(beside, room + kerf)

    @staticmethod
    def any_number(pairs, size, worth, room):
        """Pairs with something added any number of times."""
        more = pairs if worth > 0 else []
        while more:
            more = add(more, size, worth, room)
            pairs = better(pairs + more)
        return pairs
