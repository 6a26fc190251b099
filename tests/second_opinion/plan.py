"""Whether a plan file says what its job asks for, and lays every part where it may lie.

Written from `src/planfile/format.md` and the JSON Schema of the plan file; the rules below are in its order.
"""

import json
import re
from collections import Counter
from itertools import takewhile

from job import FOOT, fold

LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ"  # without I, O and Q
# Figures of the file that are not worked out here: `verify` makes the whole file again, this opinion does not.
UNREAD = {"parts_length_nm", "kept_length_nm", "short_ends_length_nm", "kerf_and_trim_length_nm", "shared_cuts",
          "shared_cuts_save_nm", "offcut_kept", "kept", "pattern"}
UNREAD_PLACES = re.compile("`/(cautions|offcuts|color|summary/rack|summary/(" + "|".join(sorted(UNREAD))
                           + "))|board of the plan [0-9]+: its pattern")
KEYS = {
    "file": "format format_number written_by title summary settings way mouldings boards_to_take boards spare_offcuts"
            " kept_pieces missing offcuts frames pieces sheets materials cautions color certificate not_verified"
            " sources",
    "board": "mark name number pattern material length_nm width_nm thickness_nm price_minor from_rack milled_to"
             " resawn_nm defects stretches strips cuts",
    "stretch": "from_nm to_nm plane_off_nm beside kept",
    "beside": "from_edge_nm width_nm kept",
    "strip": "stretch width_nm from_edge_nm moulding offcut_nm offcut_kept defects_nm",
    "cut": "part strip number from_nm to_nm turned miter_millidegrees short_point_nm row_place row_rails",
    "part": "item frame piece copy side",
    "spare": "part board strip from_nm to_nm",
    "kept": "part board",
    "missing": "part length_nm",
    "claim": "missing missing_proof bound unit parts boards strips rips proof",
    "node": "boards rips missing at_most under over",
    "pair": "pair apart together",
    "table": "scale part_prices case_prices",
    "not_verified": "ended leftover_proved_best in_rows without_grain without_spare_offcuts beyond_bought"
                    " without_vehicle_limit without_rack_first",
    "settings": "date unit rounding_nm currency currency_decimals kerf_nm end_trim_nm fit_allowance_nm shortest_offcut_nm"
                " long_offcuts point_room_nm long_chains_in_pairs longest_nm rip",
    "way": "kind most_lengths wood own woods",
    "woods": "boards lengths_nm",
    "source": "path text",
}


class Fault(Exception):
    """What does not hold."""


def need(holds, words):
    if not holds:
        raise Fault(words)


def keys(kind, found):
    need(isinstance(found, dict) and set(found) == set(KEYS[kind].split()), f"keys of a {kind}")
    return found


def whole(value, low=None):
    fits = type(value) is int and -2**63 <= value < 2**63 and (low is None or value >= low)
    need(fits, f"not a number for here: {value!r}")
    return value


def once(pairs):
    need(len({key for key, _ in pairs}) == len(pairs), "a key stands twice")
    return dict(pairs)


def no_float(text):
    raise Fault(f"not a whole number: {text}")


def load(text):
    """The JSON object of a plan file."""
    try:
        found = json.loads(text, object_pairs_hook=once, parse_float=no_float, parse_constant=no_float)
    except ValueError as error:
        raise Fault(f"no JSON: {error}") from error
    keys("file", found)
    need(found["format"] == "longpoint plan" and found["format_number"] == 6, "another format")
    return found


def part_of(by_key, found):
    """The part of the job that a part of the file names."""
    keys("part", found)
    owner = ("frame", found["frame"]) if found["frame"] is not None else ("piece", found["piece"])
    part = by_key.get((*owner, found["copy"], found["side"]))
    need(part is not None and found["item"] == part.item, f"no such part: {found['item']!r}")
    need(None in (found["frame"], found["piece"]), "a part of a frame and of a piece")
    return part


def check(job, file):
    """The value of a plan that holds and the number of parts that are missing; else a `Fault`."""
    by_key = {part.key(): part for part in job.parts}
    lines = {board.name: board for board in job.boards}
    seen, taken, spare_on = Counter(), Counter(), {}
    for spare in file["spare_offcuts"]:
        keys("spare", spare)
        part = part_of(by_key, spare["part"])
        need(part.purpose == "spare_offcut", "a spare offcut that is none")
        seen[part.key()] += 1
        spare_on.setdefault((spare["board"], spare["strip"]), []).append((spare["from_nm"], spare["to_nm"], part))
    for place, found in enumerate(file["boards"]):
        keys("board", found)
        line = lines.get(found["name"])
        need(line is not None, f"no such board: {found['name']!r}")
        taken[line.name] += 1
        need(found["mark"] == mark(place), f"mark {found['mark']!r} on board {place}")
        need(found["number"] == taken[line.name], "boards of a line are not numbered one after the other")
        said = [found[key] for key in ("length_nm", "width_nm", "thickness_nm", "from_rack", "price_minor", "milled_to")]
        need(said == [line.length, line.width, line.thickness, line.rack, line.price, line.milled]
             and fold(found["material"]) == line.material, f"{line.name} is not as in the job")
        spares = [spare_on.pop((place, strip), []) for strip in range(len(found["strips"]))]
        seen.update(part.key() for part in check_board(job, line, found, by_key, spares))
    need(not spare_on, "a spare offcut on no strip")
    kept = Counter()
    for stays in file["kept_pieces"]:
        keys("kept", stays)
        part, line = part_of(by_key, stays["part"]), lines.get(stays["board"])
        need(part.purpose == "spare_offcut", "a kept piece for no spare offcut")
        need(line is not None and line.rack and job.suits(part.section, line.whole())
             and job.longest_run(part.section, line, widest_kerf(job, part.section)) >= part.length,
             f"{stays['board']!r} cannot be kept for {part.item}")
        seen[part.key()] += 1
        kept[line.name] += 1
    missing = 0
    for gone in file["missing"]:
        keys("missing", gone)
        part = part_of(by_key, gone["part"])
        need(gone["length_nm"] == part.length, "length of a missing part")
        seen[part.key()] += 1
        missing += 1
    for part in job.parts:
        need(seen[part.key()] == 1, f"{part.item} stands {seen[part.key()]} times")
    for line in job.boards:
        need(line.supply is None or taken[line.name] + kept[line.name] <= line.supply, f"too many boards {line.name}")
    need([frame["grain"] for frame in file["frames"]] == job.grains, "another grain than is granted")
    value = sum(job.cost(line) * taken[line.name] for line in job.boards)
    summary(job, file, value, missing, taken)
    return value, missing


def mark(place):
    """A to Z without I, O and Q, then AA."""
    text, place = "", place + 1
    while place:
        place, rest = divmod(place - 1, len(LETTERS))
        text = LETTERS[rest] + text
    return text


def summary(job, file, value, missing, taken):
    """Counts and money."""
    told = file["summary"]
    frames = len({(p.owner, p.copy) for p in job.parts if p.owner[0] == "frame"})
    rails = sum(p.owner[0] == "frame" for p in job.parts)
    priced = any(b.price is not None and not (b.rack and b.price == 0) for b in job.boards)
    each = [(b, taken[b.name]) for b in job.boards if taken[b.name]]
    prices = [b.price * n for b, n in each if b.price is not None]
    has_price = priced and prices
    wanted = {
        "boards": sum(taken.values()), "frames": frames, "rails": rails, "pieces": len(job.parts) - rails,
        "missing": missing, "measure": "price_minor" if priced else "board_length_nm", "value": value,
        "board_length_nm": sum(length_of_strips(b) for b in file["boards"]),
        "price_minor": sum(prices) if has_price else None,
        "bought_minor": sum(b.price * n for b, n in each if b.price is not None and not b.rack) if has_price else None,
        "boards_without_price": sum(n for b, n in each if b.price is None and not b.rack) if priced else 0,
    }
    for key, right in wanted.items():
        need(told[key] == right, f"{key} is {right!r}, not {told[key]!r}")
    rows = [{"name": b.name, "count": n, "price_each_minor": b.price,
             "price_minor": None if b.price is None else b.price * n, "from_rack": b.rack} for b, n in each]
    need(file["boards_to_take"] == rows, "boards to take")


def length_of_strips(found):
    """All strips of a board end to end, a stretch without any counting as one; what the yard's saw takes counts once."""
    runs = {(stretch["from_nm"], stretch["to_nm"]) for stretch in found["stretches"]}
    total = found["length_nm"] - sum(b - a for a, b in runs)
    for place, stretch in enumerate(found["stretches"]):
        total += (stretch["to_nm"] - stretch["from_nm"]) * max(
            1, sum(strip["stretch"] == place for strip in found["strips"]))
    return total


def check_board(job, line, found, by_key, spares):
    """The parts that are cut from a board."""
    strips, cuts, stretches = found["strips"], found["cuts"], found["stretches"]
    for stretch in stretches:
        keys("stretch", stretch)
    parting = tuple((stretch["from_nm"], stretch["to_nm"], found["resawn_nm"]) for stretch in stretches)
    need(parting in line.ways(), f"{line.name} is not parted so")
    for strip in strips:
        keys("strip", strip)
        need(0 <= whole(strip["stretch"]) < len(stretches), "a strip on no stretch")
    need([s["stretch"] for s in strips] == sorted(s["stretch"] for s in strips), "order of stretches")
    laid = [[] for _ in strips]
    for cut in cuts:
        keys("cut", cut)
        need(0 <= whole(cut["strip"]) < len(strips), "a cut on no strip")
        laid[cut["strip"]].append((cut, part_of(by_key, cut["part"])))
    need(strips and [cut["strip"] for cut in cuts] == sorted(cut["strip"] for cut in cuts), "order of strips")
    ripped = []
    for number, stick in enumerate(line.sticks(parting)):
        on_it = [place for place, strip in enumerate(strips) if strip["stretch"] == number]
        ripped += check_stick(job, stick, [(strips[place], laid[place], spares[place]) for place in on_it],
                              stretches[number])
    return ripped


def check_stick(job, line, strips, told):
    """The parts that are cut from a stretch of a board, which is given as a board of its own."""
    behind, ripped, wide, free, planed = 0, [], None, [], 0
    for strip, laid, spares in strips:
        parts = [part for _, part in laid] + [part for _, _, part in spares]
        need(parts and len({part.section for part in parts}) == 1, "parts of several sections on a strip, or none")
        section = parts[0].section
        need(strip["moulding"] == section.moulding, "another moulding on a strip")
        need(job.suits(section, line), f"{line.name} does not suit {parts[0].item}")
        need(all(part.board in (None, line.name) for part in parts), "a frame's rail from another board than its own")
        near, wide, far = strip["from_edge_nm"], job.ripped(section, line), None
        if wide is None:
            need(len(strips) == 1 and near == 0 and strip["width_nm"] == line.width, f"{line.name} is one strip")
            if job.rip and None not in (line.width, section.width):
                planed = line.width - section.width
            near = None
        if wide is not None:
            far = whole(near) + wide
            need(strip["width_nm"] == wide and behind <= near and far <= line.width - job.rip["straightening"],
                 f"a strip of {line.name} does not lie beside the others and on its board")
            free.append((behind, near - job.rip["kerf"]))
            behind = far + job.rip["kerf"]
        bare, worn = (job.stretches(line, near, far, widest) for widest in (0, widest_kerf(job, section)))
        need(strip["defects_nm"] == [list(pair) for pair in bare], "defects of a strip")
        check_strip(job, line, laid, spares, worn)
        last = max((cut["to_nm"] + part.kerf for cut, part in laid), default=job.trim)
        need(strip["offcut_nm"] == max(0, line.length - job.trim - last), "offcut of a strip")
        ripped += [part for _, part in laid]
    if wide is not None:
        free.append((behind, line.width - job.rip["straightening"]))
    need(told["plane_off_nm"] == planed, f"what is planed off {line.name}")
    found = [keys("beside", edge) for edge in told["beside"]]
    wanted = [(near, far - near) for near, far in free if far > near]
    need([(edge["from_edge_nm"], edge["width_nm"]) for edge in found] == wanted, "what is left beside the strips")
    return ripped


def widest_kerf(job, section):
    return max(part.kerf for part in job.parts if part.section == section)


def check_strip(job, line, cuts, spares, worn):
    """Trims, defects, kerfs and rows of one strip."""
    runs = job.clear(line, worn)

    def clear(a, b):
        need(any(near <= a and b <= far for near, far in runs), f"{a} to {b} of {line.name} is not clear wood")

    for place, (cut, part) in enumerate(cuts):
        a, b = whole(cut["from_nm"]), whole(cut["to_nm"])
        need(b - a == part.length, f"{part.item} has another length")
        need(part.purpose != "spare_offcut", "a spare offcut that is cut")
        need(cut["number"] == place + 1, "numbers of cuts")
        need(cut["turned"] is False or cut["turned"] is True and part.overlap, f"{part.item} may not lie turned")
        ends = cut["miter_millidegrees"], cut["short_point_nm"]
        need(ends == (miter(part.sides), part.short), f"ends of {part.item}")
        clear(a, b)
        for later, other in cuts[place + 1:place + 3]:
            gap = max(part.kerf, other.kerf)
            if part.overlap and other.overlap and part.sides == other.sides and cut["turned"] != later["turned"]:
                gap = part.kerf - part.overlap
            need(later["from_nm"] - b >= gap, f"{part.item} and {other.item} lie too near")
    rows = check_rows(cuts)
    for near, far in runs:
        check_order([row for row in rows if near <= row[0][0]["from_nm"] < far])
    for a, b, part in spares:
        need(whole(b) - whole(a) == job.left(part, cut=bool(cuts)), f"{part.item} has another length")
        clear(a, b)
        after = next((near for near, _ in runs if near >= b), None)
        behind = next(far for near, far in runs if near <= a <= far)
        need(not cuts or after is None or after - behind >= job.trim + widest_kerf(job, part.section),
             f"{part.item} has no room behind")
        # It is behind all cuts of its run, and no other spare offcut is on it.
        need(all(cut["to_nm"] + other.kerf <= a or cut["from_nm"] >= behind for cut, other in cuts)
             and all(a2 == a or b2 <= a or a2 >= behind for a2, b2, _ in spares), f"{part.item} is not behind all")


def miter(sides):
    """Half of the corner's turn, in thousandths of a degree, to the nearest."""
    return 0 if sides is None else (2 * 180_000 + sides) // (2 * sides)


def check_rows(cuts):
    """Rails that stand in a row follow each other in its order, one kerf apart and all the same way round.
    Returns the strip as rows, a part that stands in none as a row of its own."""
    place, rows = 0, []
    while place < len(cuts):
        cut, part = cuts[place]
        if not part.row:
            need(cut["row_place"] is None and cut["row_rails"] is None, f"{part.item} stands in no row")
            rows.append([cuts[place]])
            place += 1
            continue
        row = cuts[place:place + len(part.row)]
        need([p.key() for _, p in row] == [(*part.owner, part.copy, side) for side in part.row], f"row of {part.item}")
        for index, (cut, part) in enumerate(row):
            need((cut["row_place"], cut["row_rails"]) == (index + 1, len(row)), "places in a row")
            need(cut["turned"] == row[0][0]["turned"], "a row that is turned in itself")
            need(index == 0 or cut["from_nm"] - row[index - 1][0]["to_nm"] == part.kerf, "a row with a gap")
        rows.append(row)
        place += len(row)
    return rows


def check_order(rows):
    """Within a clear run wide kerfs come first, then long parts; but what is shorter than a foot is not last."""
    def about(row):
        (first, part), (last, _) = row[0], row[-1]
        short = last["to_nm"] - last["from_nm"] < FOOT
        return part.kerf, (part.sides, part.overlap), last["to_nm"] - first["from_nm"], short

    rows = [about(row) for row in rows]
    for (kerf, kind, long, short), (kerf2, kind2, long2, short2) in zip(rows, rows[1:]):
        longer = kind == kind2 and long < long2 and not (short and not short2)
        need(not (kerf < kerf2 or kerf == kerf2 and longer), "parts of a run in another order")
    if rows and rows[-1][3]:
        alike = list(takewhile(lambda row: row[:2] == rows[-1][:2], reversed(rows)))
        need(all(short for *_, short in alike), "a short part behind all longer ones")
