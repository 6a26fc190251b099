"""Jobs drawn by rule: the files of each, by wishes that say what it is to have."""

import csv
import io
import json


def inches(rng, low, high, step=8):
    """A length in inches with a fraction, as one writes it."""
    parts = rng.randint(low * step, high * step)
    whole, rest = divmod(parts, step)
    return f"{whole} {rest}/{step}" if rest and whole else f"{rest}/{step}" if rest else f"{whole}"


def text(value):
    return "true" if value is True else str(value) if isinstance(value, int) else json.dumps(value)


def block(table, **keys):
    """A table of a job file."""
    lines = [f"{key.replace('_', '-')} = {text(value)}" for key, value in keys.items() if value is not None]
    return f"[[{table}]]\n" + "\n".join(lines) + "\n"


def csv_of(rows):
    """A table as a file, with a column for each key."""
    heads = list(dict.fromkeys(key for row in rows for key in row))
    out = io.StringIO()
    writer = csv.DictWriter(out, heads, lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


WISHES = ("plain", "prices", "rack", "rip", "knots", "grain", "turned", "spare", "spare offcut", "short", "polygons",
          "pieces", "own board", "millimeters", "rip", "pairs", "yard", "yard+rip", "yard+short", "yard+knots",
          "yard+short+rip", "short+grain", "short+spare offcut", "short+knots",
          "short+rack", "short+turned", "spare offcut+knots", "short+rip", "resaw", "resaw+short", "resaw+knots",
          "resaw+yard", "resaw+spare offcut", "sheets", "sheets+millimeters")


def draw(rng, wishes):
    """The files of a job that has these wishes, each by its name."""
    wishes = set("+".join(wishes).split("+"))
    if "pairs" in wishes:
        return pairs(rng)
    wishes |= {"rip"} if "resaw" in wishes else set()
    mm, rip, resaw = "millimeters" in wishes, "rip" in wishes, "resaw" in wishes

    def size(low, high, step=8):
        return str(rng.randint(low * 50, high * 50) / 2).removesuffix(".0") if mm else inches(rng, low, high, step)

    def either(*values):
        return rng.choice(values)

    head = 'unit = "mm"\n' if mm else ""
    tables = f'[saw]\nkerf = "{"3.2" if mm else either("1/8", "3/32", "0")}"\n'
    tables += f'end-trim = "{"10" if mm else either("1/2", "0", "1")}"\n'
    if "grain" in wishes and rng.random() < 0.7:
        tables += f'[shop]\nlong-chains = "{either("adjacent", "opposite")}"\n'
    if rip:
        tables += either("[rip]\n", '[rip]\nstraightening = "1/4 in"\nplaning = "1/16 in"\n')
    if resaw:
        tables += 'resaw-kerf = "1/16 in"\n' + either("", 'resaw-planing = "0"\n', 'resaw-widest = "6 in"\n')
    faces = [str(rng.randint(25, 70)) if mm else inches(rng, 1, 3, 4) for _ in range(rng.randint(1, 2))]
    for m, face in enumerate(faces):
        thick = either("3/4 in", "3/4 in", "3/8 in", None) if resaw else None
        tables += block(
            "mouldings", name=f"m{m}", face_width=face, lip="1/4 in", material=either(None, "ash", "Ash"),
            thickness=thick, thicker_stock=either(None, True) if thick else None,
            milled=either(None, "after-cutting") if wishes & {"turned", "polygons"} else None,
            section="symmetric" if "turned" in wishes else None,
            spare="offcut" if "spare offcut" in wishes else either(1, 2, "10 %") if "spare" in wishes else None,
            grain=either("frame", "adjacent", "opposite") if "grain" in wishes else None)
    frames = []
    for f in range(rng.randint(1, 3)):
        frame = {"frame": f"f{f}", "quantity": rng.randint(1, 3), "moulding": f"m{rng.randrange(len(faces))}",
                 "art-width": size(5, 14)}
        if "polygons" in wishes and rng.random() < 0.7:
            frame["sides"] = either(3, 5, 6, 8)
            frame["mat-border"] = either("", "", size(1, 3))
            frame["measured"] = either("", "flats", "corners") if frame["sides"] in (6, 8) else ""
        else:
            frame |= {"art-height": size(5, 14), "mat-border": either("", "", size(1, 3))}
        frames.append(frame | {"tray-gap": "" if frame["mat-border"] else either("", "", "1/4 in"),
                               "liner": either("", "", "", "", "", "", "m0", f"m0; m{len(faces) - 1}"),
                               "liner-play": either("", "1/16 in", "3 mm")})
    if "sheets" in wishes:
        tables += sheets(rng, [frame for frame in frames if "sides" not in frame], all("sides" not in frame for frame in frames))
    boards = []
    for b in range(rng.randint(1, 4)):
        board = {"board": f"b{b}", "length": str(rng.randint(800, 2400)) if mm else inches(rng, 32, 72, 2),
                 "material": either("ash", "ASH", "")}
        if wishes != {"plain"}:
            board["price"] = f"{rng.randint(3, 30)}.{rng.randint(0, 9)}0"
        if rip:
            board["width"] = either(inches(rng, 3, 8, 4) + " in", inches(rng, 5, 7, 2) + " in", faces[0])
        if resaw:
            board["thickness"] = either("2 in", "2 in", "1 7/8 in", "3/4 in")
        if b and wishes & {"prices", "own board", "rip"} and rng.random() < 0.6:
            board["quantity"] = rng.randint(0, 3)
        if "short" in wishes:
            board["quantity"] = rng.randint(0 if b else 1, rng.randint(1, 3))
        if "knots" in wishes:
            board["defects"] = "; ".join(knot(rng, rip) for _ in range(rng.randint(0, 2)))
        boards.append(board)
    if "prices" in wishes and rng.random() < 0.4:
        tables += f'[buying]\nlongest = "{inches(rng, 40, 70)} in"\n'
    if "own board" in wishes:
        frames[0]["board"] = "b0"
    if "yard" in wishes:
        longest = rng.randint(24, 60)
        cuts = either("6 in", "12 in", [f"{at} in" for at in sorted(rng.sample(range(10, 70), rng.randint(1, 4)))])
        tables += block("buying", longest=f"{longest} in", yard_cuts=cuts, yard_kerf=either(None, "0", "1/4 in"),
                        yard_cut_price=either(None, "0.50", "2")).replace("[[buying]]", "[buying]")
    files = {}
    if wishes & {"rack", "spare offcut"} or rip and rng.random() < 0.5:
        head += 'rack = "rack.csv"\n'
        files["rack.csv"] = csv_of([
            {"board": f"r{r}", "length": inches(rng, 10, 60) + " in", "quantity": rng.randint(1, 2), "width": faces[0],
             "thickness": either("2 in", "3/4 in") if resaw else "",
             "moulding": either("", "", "m0", "m1"), "value": either("", "0", "2.50", "1.10")} for r in range(2)])
    if wishes & {"pieces", "prices"} or rip and rng.random() < 0.5:
        head += 'pieces = "pieces.csv"\n'
        files["pieces.csv"] = csv_of([
            {"piece": f"p{p}", "length": inches(rng, 4, 20) + " in", "quantity": rng.randint(1, 4),
             "ends": either("square", "miter"), "width": inches(rng, 1, 2, 4) + " in" if rip else "",
             "thickness": either("", "3/8 in", "3/4 in") if resaw else "",
             "moulding": "" if rip else either("", "m0")} for p in range(2)])
    files["frames.csv"], files["boards.csv"] = csv_of(frames), csv_of(boards)
    return files | {"job.toml": head + 'frames = "frames.csv"\nboards = "boards.csv"\n' + tables}


def sheets(rng, frames, may_cover):
    """Kinds of sheet with sizes on sale and on the rack; what the frames have of them is filled in. Every frame gets a cover, so
    there is only paper for them where all frames `may_cover`."""
    for frame in frames:
        frame |= {"tray-gap": "", "glazing": rng.choice(["", "glass"])}
        if frame["mat-border"]:
            frame |= {"mat": rng.choice(["", "white"]), "mount": rng.choice(["", "float"]), "mat-layers": rng.randint(1, 3)}
            if frame["mat-layers"] > 1:
                frame |= {"lower-mat": rng.choice(["", "black", "black; white"]), "reveal": rng.choice(["", "3/16 in"])}
    found = ""
    kinds = [("glass", "glazing"), ("white", "mat"), ("black", "mat")]
    if may_cover and rng.random() < 0.5:
        kinds.append(("kraft", "dust-cover"))
        found += rng.choice(["", '[assembly]\ndust-cover-margin = "3/16 in"\n', '[assembly]\ndust-cover-oversize = "1 in"\n'])
        for frame in frames:
            frame["dust-cover"] = rng.choice(["", "", "", "false"])
    for name, use in kinds:
        fallout = rng.random() < 0.6 if use == "mat" else None
        found += block("sheets", name=name, use=use, thickness="1/16 in", trim=rng.choice([None, "1/4 in"]),
                       trim_left=rng.choice([None, None, "1/2 in"]), fallout=fallout or None, least_piece="4 in",
                       cut="sawn" if use == "glazing" and rng.random() < 0.4 else None,
                       third_cuts=rng.random() < 0.3 or None,
                       longest_second_cut=rng.choice([None, None, f"{rng.randint(14, 30)} in"]))
        priced = rng.random() < 0.8
        for size in rng.sample(((32, 40), (40, 60), (24, 36)), rng.randint(1, 3)):
            found += block("sheet-stock", sheet=name, width=f"{size[0]} in", height=f"{size[1]} in",
                           quantity=rng.choice([None, None, rng.randint(0, 2)]),
                           price=f"{rng.randint(5, 40)}.{rng.randint(0, 9)}0" if priced else None,
                           trim=rng.choice([None, None, "1/8 in"]))
        if rng.random() < 0.5:
            found += block("sheet-rack", label=f"{name} r", sheet=name, width=inches(rng, 9, 20) + " in",
                           height=inches(rng, 9, 30) + " in", quantity=rng.choice([None, 2]), value=rng.choice([None, "1.20"]))
    return found


def pairs(rng):
    """A job whose proof tells pairs of parts apart: one of many that were drawn, at some scale."""
    eighths = rng.choice([1, 2, 3])

    def scaled(number):
        whole, rest = divmod(number * eighths, 8)
        return f"{whole} {rest}/8 in" if rest else f"{whole} in"

    boards = [(998, "10.23", None), (770, "7.77", 2), (884, "9.10", None)]
    pieces = [(271, 3), (204, 2), (131, 4), (435, 3), (370, 4), (223, 2), (331, 4), (320, 4), (301, 1)]
    boards = [{"board": f"b{nth}", "length": scaled(length), "price": price, "quantity": quantity}
              for nth, (length, price, quantity) in enumerate(boards)]
    pieces = [{"piece": f"p{nth}", "length": scaled(length), "quantity": quantity}
              for nth, (length, quantity) in enumerate(pieces)]
    job = "".join(f'{table} = "{table}.csv"\n' for table in ("boards", "pieces")) + "[saw]\nkerf = 0\nend-trim = 0\n"
    return {"boards.csv": csv_of(boards), "pieces.csv": csv_of(pieces), "job.toml": job}


def knot(rng, rip):
    """A defect, of the whole width or from one edge."""
    start = rng.randint(0, 60)
    end = start + rng.choice([1, 3, 6])
    side = rng.choice(["", " left", " right", " left 1 in", " right 3/4 in"]) if rip else ""
    return f"{start} in to {rng.choice([f'{end}', f'{end}', f'{start} 1/16'])} in{side}"
