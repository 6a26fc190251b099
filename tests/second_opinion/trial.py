#!/usr/bin/env python3
"""Holds the second opinion against the program: `trial.py LONGPOINT [JOBS FORGERIES SEED]`.

Plans every demo and as many drawn jobs as asked for, forges so many of the plans by rule, and lets `longpoint verify`
and `check.py` judge them all. They must agree on each, and accept each plan that the program made. Counts are printed by
kind; the exit code is 1 if there is a difference, whose files are then kept and named. `by word`: the plan holds, but a
bound rests on the word of the search; `unread`: what `verify` rejects is only in places not read here.
"""

import copy
import csv
import io
import json
import random
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

import check
import plan as plans

ROOT = Path(__file__).resolve().parents[2]


# ------------------------------------------------------------------ jobs by rule

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
          "pieces", "own board", "millimeters", "rip", "pairs", "short+grain", "short+spare offcut", "short+knots",
          "short+rack", "short+turned", "spare offcut+knots", "short+rip")


def draw(rng, wishes):
    """The files of a job that has these wishes, each by its name."""
    wishes = set("+".join(wishes).split("+"))
    if "pairs" in wishes:
        return pairs(rng)
    mm, rip = "millimeters" in wishes, "rip" in wishes

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
    faces = [str(rng.randint(25, 70)) if mm else inches(rng, 1, 3, 4) for _ in range(rng.randint(1, 2))]
    for m, face in enumerate(faces):
        tables += block(
            "mouldings", name=f"m{m}", face_width=face, lip="1/4 in", material=either(None, "ash", "Ash"),
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
        else:
            frame |= {"art-height": size(5, 14), "mat-border": either("", "", size(1, 3))}
        frames.append(frame | {"tray-gap": either("", "", "", "1/4 in")})
    boards = []
    for b in range(rng.randint(1, 4)):
        board = {"board": f"b{b}", "length": str(rng.randint(800, 2400)) if mm else inches(rng, 32, 72, 2),
                 "material": either("ash", "ASH", "")}
        if wishes != {"plain"}:
            board["price"] = f"{rng.randint(3, 30)}.{rng.randint(0, 9)}0"
        if rip:
            board["width"] = either(inches(rng, 3, 8, 4) + " in", inches(rng, 5, 7, 2) + " in", faces[0])
        if b and wishes & {"prices", "own board", "rip"} and rng.random() < 0.6:
            board["quantity"] = rng.randint(0, 3)
        if "short" in wishes:
            board["quantity"] = rng.randint(0 if b else 1, rng.randint(1, 3))
        if "knots" in wishes:
            board["defects"] = "; ".join(knot(rng, rip) for _ in range(rng.randint(0, 2)))
        boards.append(board)
    if "own board" in wishes:
        frames[0]["board"] = "b0"
    files = {}
    if wishes & {"rack", "spare offcut"} or rip and rng.random() < 0.5:
        head += 'rack = "rack.csv"\n'
        files["rack.csv"] = csv_of([
            {"board": f"r{r}", "length": inches(rng, 10, 60) + " in", "quantity": rng.randint(1, 2), "width": faces[0],
             "value": either("", "0", "2.50", "1.10")} for r in range(2)])
    if wishes & {"pieces", "prices"} or rip and rng.random() < 0.5:
        head += 'pieces = "pieces.csv"\n'
        files["pieces.csv"] = csv_of([
            {"piece": f"p{p}", "length": inches(rng, 4, 20) + " in", "quantity": rng.randint(1, 4),
             "ends": either("square", "miter"), "width": inches(rng, 1, 2, 4) + " in" if rip else "",
             "moulding": "" if rip else either("", "m0")} for p in range(2)])
    files["frames.csv"], files["boards.csv"] = csv_of(frames), csv_of(boards)
    return files | {"job.toml": head + 'frames = "frames.csv"\nboards = "boards.csv"\n' + tables}


def pairs(rng):
    """A job with two boards that are cheap, and few parts on each: its proof mostly tells pairs of parts apart."""
    def near(inch):
        return f"{inch} {rng.randint(1, 7)}/8 in"

    boards = [{"board": "b0", "length": near(37), "price": "23.30"}, {"board": "b2", "length": near(46), "price": "24.30"},
              {"board": "b1", "length": near(47), "price": "9.20", "quantity": 2}]
    frames = [{"frame": "f0", "quantity": 2, "art-width": near(12), "art-height": near(7)},
              {"frame": "f1", "quantity": 2, "art-width": near(7), "art-height": near(14)}]
    pieces = [{"piece": "p0", "length": near(10), "ends": "miter"}, {"piece": "p1", "length": near(19), "quantity": 4}]
    job = block("mouldings", name="m0", face_width="2 1/4", lip="1/4 in")
    return {"boards.csv": csv_of(boards), "frames.csv": csv_of(frames), "pieces.csv": csv_of(pieces),
            "job.toml": "".join(f'{table} = "{table}.csv"\n' for table in ("boards", "frames", "pieces")) + job}


def knot(rng, rip):
    """A defect, of the whole width or from one edge."""
    start = rng.randint(0, 60)
    end = start + rng.choice([1, 3, 6])
    side = rng.choice(["", " left", " right", " left 1 in", " right 3/4 in"]) if rip else ""
    return f"{start} in to {rng.choice([f'{end}', f'{end}', f'{start} 1/16'])} in{side}"


# ------------------------------------------------------------------ forgeries by rule

def cuts_of(plan):
    return [(board, place) for board in plan["boards"] for place in range(len(board["cuts"]))]


def claims_of(plan):
    return plan["certificate"]["claims"]


def nodes_of(plan):
    return [node for claim in claims_of(plan) for node in claim["missing_proof"] + claim["proof"]]


def tables_of(plan):
    return [node for node in nodes_of(plan) if "scale" in node]


def bump(rng, holder, key):
    """Another number, near or far."""
    holder[key] += rng.choice([1, -1, 1, -1, 1000, -holder[key], holder[key], 2**40])


def forge_summary(rng, plan):
    told = plan["summary"]
    key = rng.choice([k for k, v in told.items() if type(v) in (int, bool) and k not in plans.UNREAD])
    if type(told[key]) is bool:
        told[key] = not told[key]
    else:
        bump(rng, told, key)


def forge_bound(rng, plan):
    step = rng.choice([1, 10, plan["summary"]["value"] or 1])
    rng.choice(claims_of(plan))["bound"] += step
    for key in rng.choice([["lower_bound"], ["certified_lower_bound"], ["lower_bound", "certified_lower_bound"]]):
        plan["summary"][key] += step


def forge_all_dearer(rng, plan):
    """A dearer plan that is called proved: the least bound, and the value of its boards, are raised together."""
    rng.choice(claims_of(plan))["bound"] += 100
    for key in ("lower_bound", "certified_lower_bound", "value"):
        plan["summary"][key] += 100


def forge_cut(rng, plan):
    board, place = rng.choice(cuts_of(plan))
    cut = board["cuts"][place]
    step = rng.choice([1, -1, 1000, -1000, 10**7])
    for key in rng.choice([("from_nm",), ("to_nm",), ("from_nm", "to_nm")]):
        cut[key] += step


def forge_field(rng, plan):
    board, place = rng.choice(cuts_of(plan))
    holder = rng.choice([board["cuts"][place], board, rng.choice(board["strips"]), board["cuts"][place]["part"]])
    key = rng.choice([k for k, v in holder.items() if type(v) in (int, bool) and k not in plans.UNREAD])
    holder[key] = not holder[key] if type(holder[key]) is bool else holder[key] + rng.choice([1, -1, 7])


def forge_key(rng, plan):
    """A key too many, or one too few."""
    board, place = rng.choice(cuts_of(plan))
    cut, claim = board["cuts"][place], rng.choice(claims_of(plan))
    holders = [plan, board, cut, cut["part"], rng.choice(board["strips"]), claim, rng.choice(claim["proof"])]
    holder = rng.choice([*holders, rng.choice(claim["boards"]), plan["certificate"]])
    if rng.random() < 0.5:
        holder["more"] = 0
    else:
        del holder[rng.choice(list(holder))]


def forge_swap(rng, plan):
    (a, i), (b, j) = rng.choice(cuts_of(plan)), rng.choice(cuts_of(plan))
    a["cuts"][i]["part"], b["cuts"][j]["part"] = b["cuts"][j]["part"], a["cuts"][i]["part"]


def forge_label(rng, plan):
    rng.choice(plan["boards"])["name"] = rng.choice(plan["boards"])["name"] + rng.choice(["", "", "x"])


def forge_missing(rng, plan):
    """A part that is called missing, with or without a claim that it must be; or one that is not missing any more."""
    told = plan["summary"]
    if plan["missing"] and rng.random() < 0.3:
        del plan["missing"][rng.randrange(len(plan["missing"]))]
        told["missing"] -= 1
        return
    board, place = rng.choice(cuts_of(plan))
    cut = board["cuts"].pop(place)
    plan["missing"].append({"part": cut["part"], "length_nm": cut["to_nm"] - cut["from_nm"]})
    told["missing"] += 1
    for key in [["missing_lower_bound"], ["missing_lower_bound", "certified_missing_lower_bound"], []][rng.randrange(3)]:
        told[key] += 1
        if key.startswith("certified"):
            rng.choice(claims_of(plan))["missing"] += 1


def forge_fewest(rng, plan):
    """More or less that is said to be missing at the least, of one claim and of all."""
    step, claim = rng.choice([1, -1]), rng.choice(claims_of(plan))
    if claim["missing"] + step < 0:
        return False
    claim["missing"] += step
    for key in ["missing_lower_bound", "certified_missing_lower_bound"][rng.randrange(3):]:
        plan["summary"][key] += step
    return True


def forge_missing_proof(rng, plan):
    """The proof that parts must be missing is empty, or that of another claim, or one of their value."""
    claims = [claim for claim in claims_of(plan) if claim["missing_proof"]]
    if not claims:
        return False
    claim = rng.choice(claims)
    claim["missing_proof"] = copy.deepcopy(
        rng.choice([[], claim["missing_proof"][1:], claim["proof"], rng.choice(claims)["missing_proof"]]))
    return True


def forge_pair(rng, plan):
    """A pair of other classes, its cases exchanged, or a price of what is glued."""
    nodes = [node for node in nodes_of(plan) if "pair" in node]
    if not nodes:
        return False
    node, what = rng.choice(nodes), rng.choice(["swap", "other", "cases", "price", "cut"])
    if what == "swap":
        node["pair"].reverse()
    elif what == "other":
        node["pair"][rng.randrange(2)] = rng.randint(0, max(node["pair"]) + 1)
    elif what == "cases":
        node["apart"], node["together"] = node["together"], node["apart"]
    elif what == "price":
        holder = rng.choice(tables_of(plan))["part_prices"]
        bump(rng, holder, len(holder) - 1)
    else:
        node["together"] = node["apart"]
    return True


def forge_left(rng, plan):
    """A spare offcut or a kept piece that is doubled, elsewhere, dropped, or kept of another board."""
    holder = rng.choice([plan["spare_offcuts"], plan["kept_pieces"]])
    if not holder:
        return False
    found, what = rng.choice(holder), rng.choice(["double", "drop", "move"])
    if what == "double":
        holder.append(copy.deepcopy(found))
    elif what == "drop":
        holder.remove(found)
    elif holder is plan["kept_pieces"]:
        found["board"] = rng.choice(plan["boards"])["name"]
    else:
        step = rng.choice([1, -1, 1000, -1000, 10**7, -10**7])
        for key in rng.choice([("from_nm",), ("to_nm",), ("from_nm", "to_nm")]):
            found[key] += step
    return True


def forge_drop(rng, plan):
    board, place = rng.choice(cuts_of(plan))
    del board["cuts"][place]


def forge_double(rng, plan):
    board, place = rng.choice(cuts_of(plan))
    board["cuts"].insert(place, copy.deepcopy(board["cuts"][place]))


def forge_board(rng, plan):
    place = rng.randrange(len(plan["boards"]))
    if rng.random() < 0.5:
        del plan["boards"][place]
    else:
        plan["boards"].insert(place, copy.deepcopy(plan["boards"][place]))


def forge_price(rng, plan):
    table = rng.choice(tables_of(plan))
    holder = table[rng.choice([key for key in ("part_prices", "case_prices") if table[key]] or ["part_prices"])]
    bump(rng, holder, rng.randrange(len(holder)))


def forge_slight_price(rng, plan):
    holder = rng.choice(tables_of(plan))["part_prices"]
    holder[rng.randrange(len(holder))] += rng.choice([-3, -1, 1, 3])


def forge_scale(rng, plan):
    if rng.random() < 0.5:
        bump(rng, rng.choice(tables_of(plan)), "scale")
    else:
        bump(rng, rng.choice(claims_of(plan)), "unit")


def forge_case(rng, plan):
    nodes = [node for node in nodes_of(plan) if "under" in node]
    if not nodes:
        return False
    node = rng.choice(nodes)
    key = rng.choice(["at_most", "under", "over", "boards", "missing"])
    if key == "boards":
        node["boards"] = node["boards"][1:]
    elif key == "missing":
        node["missing"] = not node["missing"]
    else:
        node[key] += rng.choice([1, -1])
    return True


def forge_grain(rng, plan):
    """Another grain of a frame than is granted; or two rails of a row that change places."""
    if rng.random() < 0.5 and plan["frames"]:
        rng.choice(plan["frames"])["grain"] = rng.choice(["none", "frame", "adjacent", "opposite"])
        return True
    rows = [cut for board in plan["boards"] for cut in board["cuts"] if cut["row_place"]]
    if not rows:
        return False
    a, b = rng.choice(rows), rng.choice(rows)
    a["part"]["side"], b["part"]["side"] = b["part"]["side"], a["part"]["side"]
    a["part"]["item"], b["part"]["item"] = b["part"]["item"], a["part"]["item"]
    return True


def forge_ended(rng, plan):
    plan["not_verified"]["ended"] = rng.choice(["proved", "work_limit", "stopped", "time"])


def forge_weaker(rng, plan):
    """Less is claimed of a portion, at lower prices: it holds if these still prove so much."""
    told, claims = plan["summary"], claims_of(plan)
    claim = rng.choice(claims)
    key = rng.choice(["missing", "bound"] if claim["missing"] else ["bound"])
    claim[key] = rng.choice([rng.randint(0, claim[key]), max(0, claim[key] - 1)])
    if claim["missing"] == 0:
        claim["missing_proof"] = []
    percent = rng.choice([100, 99, rng.randint(50, 100)])
    for table in (node for node in claim["missing_proof"] + claim["proof"] if "scale" in node):
        for prices in ("part_prices", "case_prices"):
            table[prices] = [price * percent // 100 for price in table[prices]]
    fewest, least = (sum(claim[key] for claim in claims) for key in ("missing", "bound"))
    least = least if fewest == told["missing"] else 0
    told["certified_missing_lower_bound"], told["certified_lower_bound"] = fewest, least
    if rng.random() < 0.5:
        told["missing_lower_bound"], told["lower_bound"] = fewest, least
        told["proved_optimal"] = (fewest, least) == (told["missing"], told["value"])
        plan["not_verified"]["ended"] = "proved" if told["proved_optimal"] else "stopped"


def forge_rip(rng, plan):
    claim = rng.choice(claims_of(plan))
    if not claim["rips"]:
        return False
    what = rng.choice(["capacity", "parts", "way", "board", "counted"])
    strip, rip = rng.choice(claim["strips"]), rng.choice(claim["rips"])
    if what == "capacity":
        strip["capacity_nm"] += rng.choice([1, -1, 10**8])
    elif what == "parts":
        strip["parts"] = strip["parts"][1:]
    elif what == "way":
        more = [rng.randrange(len(claim["strips"]))]
        rip["strips"] = sorted(rip["strips"] + more) if rng.random() < 0.5 else rip["strips"][1:]
    elif what == "board":
        rip["board"] = rng.randrange(len(claim["boards"]))
    else:
        node = rng.choice([n for n in claim["proof"] if "rips" in n and n["rips"]] or [claim["proof"][0]])
        node["rips"] = node.get("rips", [0])[1:]
    return True


def forge_claim(rng, plan):
    claim = rng.choice(claims_of(plan))
    what = rng.choice(["claim", "part", "kind", "kind parts", "kind name", "stand-in", "node"])
    if what == "claim":
        plan["certificate"]["claims"].remove(claim)
        if rng.random() < 0.5:
            plan["summary"]["lower_bound"] -= claim["bound"]
    elif what == "part":
        claim["parts"].pop()
    elif what == "kind":
        claim["boards"].pop(rng.randrange(len(claim["boards"])))
    elif what == "kind parts":
        kind = rng.choice(claim["boards"])
        kind["parts"].pop()
    elif what == "kind name":
        rng.choice(claim["boards"])["name"] = rng.choice(claim["boards"])["name"]
    elif what == "stand-in":
        gone = claim["boards"].pop(rng.randrange(len(claim["boards"])))
        for kind in claim["boards"]:
            kind["parts"] = sorted({*kind["parts"], *gone["parts"]})
    else:
        claim["proof"].pop()


RULES = [value for name, value in sorted(globals().items()) if name.startswith("forge_")]


# ------------------------------------------------------------------ both opinions

def run(*arguments):
    return subprocess.run([str(a) for a in arguments], capture_output=True, text=True, check=False)


class Trial:
    """The program, a folder to work in, and the counts."""

    def __init__(self, program, folder):
        self.program, self.folder = program, folder
        self.counts, self.faults = Counter(), []

    def plan(self, path):
        """The plan of a job as text, or None where the program refuses the job."""
        done = run(self.program, "plan", path, "--format", "json", "--time", "10")
        return done.stdout if done.returncode in (0, 1) and done.stdout else None

    def compare(self, kind, path, text):
        """Both opinions of a plan file; whether it holds, if they agree."""
        file = self.folder / "plan.json"
        file.write_text(text, encoding="utf-8")
        done = run(self.program, "verify", path, file)
        wrong, on_word = check.judge(path, text)
        end = "does not" if wrong else "by word" if on_word else "holds"
        if end == {0: "holds", 1: "does not", 2: "does not", 4: "by word"}.get(done.returncode):
            self.counts[kind, end] += 1
            return not wrong
        found = [line.strip(" -") for line in done.stdout.split("\n") if line.startswith("  - ")]
        if found and not wrong and all(map(plans.UNREAD_PLACES.match, found)):
            self.counts[kind, "unread"] += 1
            return False
        self.counts[kind, "DIFFER"] += 1
        self.keep(kind, path, file, wrong, done)
        return None

    def honest(self, kind, path, text):
        """Whether both accept a plan of the program; it is a fault if none does."""
        holds = self.compare(kind, path, text)
        if holds is False:
            self.keep(f"{kind}, rejected by both", path, self.folder / "plan.json", check.judge(path, text)[0])
        return holds

    def keep(self, kind, path, file, wrong, verified=None):
        """Keeps the files of a fault, with both answers."""
        place = self.folder / f"fault-{len(self.faults)}"
        shutil.copytree(Path(path).parent, place)
        shutil.copy(file, place / "plan.json")
        told = f"\n  verify: {verified.returncode} " + " / ".join(
            (verified.stdout + verified.stderr).split("\n")[:4]) if verified else ""
        self.faults.append(f"{kind}: {place}\n  here: {wrong or 'it holds'}{told}")


def main():
    """All demos, drawn jobs and forgeries."""
    program = Path(sys.argv[1]).resolve()
    jobs_wanted, forgeries, seed = (int(a) for a in (sys.argv[2:5] + ["300", "300", "7"][max(0, len(sys.argv) - 2):]))
    rng = random.Random(seed)
    folder = Path(tempfile.mkdtemp(prefix="second-opinion-"))
    trial = Trial(program, folder)
    honest = []
    for path in sorted(ROOT.glob("data/*/*.toml")):
        if path.parent.name != "faulty" and (text := trial.plan(path)) and trial.honest("demos", path, text):
            honest.append((path, text))
    drawn = refused = 0
    while drawn < jobs_wanted:
        wish = WISHES[drawn % len(WISHES)]
        place = folder / f"job-{drawn}"
        shutil.rmtree(place, ignore_errors=True)
        place.mkdir()
        second = rng.choice(WISHES) if rng.random() < 0.5 else wish
        for name, content in draw(rng, {wish, second}).items():
            (place / name).write_text(content, encoding="utf-8")
        text = trial.plan(place / "job.toml")
        if text is None:
            refused += 1
            if refused > jobs_wanted + 20:
                sys.exit("the program refuses most of the drawn jobs")
            continue
        drawn += 1
        if trial.honest(wish, place / "job.toml", text):
            honest.append((place / "job.toml", text))
    honest = [item for item in honest if claims_of(json.loads(item[1])) and cuts_of(json.loads(item[1]))]
    done = tries = 0
    while done < forgeries:
        rule, (path, text) = RULES[done % len(RULES)], rng.choice(honest)
        plan, tries = json.loads(text), tries + 1
        if rule(rng, plan) is False or plan == json.loads(text):
            if tries > 50 * (forgeries + len(RULES)):
                RULES.remove(rule)
            continue
        done += 1
        trial.compare(rule.__name__.replace("_", " "), path, json.dumps(plan))
    ends = ("holds", "by word", "does not", "unread", "DIFFER")
    print(" " * 22 + "".join(f"{end:>10}" for end in ends))
    for kind in dict.fromkeys(kind for kind, _ in trial.counts):
        print(f"{kind:22}" + "".join(f"{trial.counts[kind, end]:>10}" for end in ends))
    print(f"{drawn} jobs, {done} forgeries, {refused} drawn jobs refused by the program; seed {seed}")
    if trial.faults:
        print("\n".join(trial.faults[:20]))
        sys.exit(1)
    shutil.rmtree(folder)


if __name__ == "__main__":
    main()
