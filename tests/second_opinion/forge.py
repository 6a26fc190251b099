"""Forgeries by rule: each changes something of a plan file, or returns `False` where it finds nothing to change.

Some of what they make still holds, such as another price that proves as much: that, too, both opinions must see.
"""

import copy

import plan as plans


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
    stretch = rng.choice(board["stretches"])
    beside = rng.choice(stretch["beside"] or [stretch])
    holder = rng.choice([board["cuts"][place], board, rng.choice(board["strips"]), board["cuts"][place]["part"], stretch,
                         beside])
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


def forge_slices(rng, plan):
    """A slice too many or too few, another thickness, or a board that is not resawn any more."""
    resawn = [board for board in plan["boards"] if board["resawn_nm"]]
    if not resawn:
        return False
    board, what = rng.choice(resawn), rng.choice(["more", "less", "thickness", "whole"])
    if what == "more":
        board["stretches"].append(copy.deepcopy(board["stretches"][-1]))
    elif what == "less":
        gone = len(board["stretches"]) - 1
        board["stretches"].pop()
        for strip in board["strips"]:
            strip["stretch"] = min(strip["stretch"], gone - 1)
    elif what == "thickness":
        board["resawn_nm"] = rng.choice([board["resawn_nm"] // 2, board["resawn_nm"] * 2, board["thickness_nm"]])
    else:
        board["resawn_nm"] = None
    return True


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
    if what in ("kind", "kind parts", "kind name", "stand-in") and not claim["boards"]:
        # Parts that no board suits.
        return False
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


def forge_sheets(rng, plan):
    if not plan["materials"]:
        return False
    material = rng.choice(plan["materials"])
    what = rng.choice(["figure", "claim", "three", "sheet", "strip", "stack", "stacked", "cut", "piece", "twice", "prices", "order", "turned"])
    if what == "figure":
        bump(rng, material, rng.choice(["value", "lower_bound", "missing_lower_bound"]))
    elif what == "claim":
        step = rng.choice([1, 100])
        material["certificate"]["cost"] += step
        material["lower_bound"] += step
    elif what == "three":
        in_three = material["certificate"].get("in_three")
        if not in_three:
            return False
        if rng.random() < 0.5:
            in_three["cost"] += rng.choice([1, 100])
        else:
            own = rng.choice(in_three["prices"])
            own["size_prices"] = [price * rng.choice([1, 2]) for price in own["size_prices"]]
    elif what == "prices":
        leaves = [node for node in material["certificate"]["proof"] if "scale" in node]
        if not leaves:
            return False
        leaf = rng.choice(leaves)
        leaf["size_prices"] = [price * rng.choice([1, 2]) for price in leaf["size_prices"]]
        if rng.random() < 0.3:
            leaf["scale"] = leaf["scale"] // 2 or 1
    elif not material["sheets"]:
        return False
    elif what == "order":
        material["sheets"].reverse()
    elif what == "twice":
        material["sheets"].append(copy.deepcopy(rng.choice(material["sheets"])))
    else:
        sheet = rng.choice(material["sheets"])
        strip = rng.choice(sheet["strips"])
        stack = rng.choice(strip["stacks"])
        cut = rng.choice(stack["cuts"])
        if what == "sheet":
            sheet["strips_along_width"] = not sheet["strips_along_width"]
        elif what == "strip":
            bump(rng, strip, rng.choice(["from_nm", "width_nm"]))
        elif what == "stack":
            bump(rng, stack, rng.choice(["from_nm", "length_nm"]))
        elif what == "stacked" and len(strip["stacks"]) > 1:
            stack["cuts"] += strip["stacks"].pop()["cuts"]
        elif what == "cut":
            bump(rng, cut, rng.choice(["from_nm", "to_nm", "along_nm"]))
        elif what == "turned":
            cut["turned"] = not cut["turned"]
        else:
            cut["piece"] = copy.deepcopy(rng.choice(rng.choice(strip["stacks"])["cuts"])["piece"])
    return True


RULES = [value for name, value in sorted(globals().items()) if name.startswith("forge_")]
