#!/usr/bin/env python3
"""A second opinion on a plan file: `check.py JOB.toml PLAN.json`.

Judges the plan and its proof as `longpoint verify` does, but shares nothing with it: another language, and written from
the guide and `src/planfile/format.md` alone. `job.py` reads what is asked for, `plan.py` looks at every cut and sum,
`proof.py` at the certificate, `sheets.py` at what is cut from glass and board; `trial.py` holds this opinion against that of the program.
Exit code 0: all holds; 1: something does not; 2: the job has something that is not read here; 4: the plan holds, but
how good it is rests in part on the word of the search.
"""

import pathlib
import sys
import tempfile

import job as jobs
import plan as plans
import proof as proofs
import sheets


def of_this_job(job, sources, parted):
    """Whether the files that a plan carries hold this very job; a plan that carries none says nothing of it."""
    plans.need(isinstance(sources, list), "no list of sources")
    with tempfile.TemporaryDirectory() as folder:
        # Deep enough for the file of a shop, which lies above.
        folder = pathlib.Path(folder, *"abcdefgh").resolve()
        paths = []
        for source in sources:
            plans.keys("source", source)
            path = pathlib.PurePosixPath(source["path"])
            if path.is_absolute() or path.parts.count("..") > 7:
                raise jobs.Unread("a file outside of the folder of the job")
            place = pathlib.Path(folder, path).resolve()
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_text(source["text"], encoding="utf-8")
            paths.append(place)
        return not paths or jobs.read(str(paths[0]), parted, job.longest) == job


def judge(path, text):
    """What does not hold of a plan file, in words, empty if all holds; and whether a bound is not proved."""
    on_word = False
    try:
        file = plans.load(text)
        parted = {frame["name"] for frame in file["frames"] if frame["grain"] in ("adjacent", "opposite")}
        job = jobs.read(path, parted, plans.keys("settings", file["settings"])["longest_nm"])
        plans.need(of_this_job(job, file["sources"], parted), "the job is not the one under `sources`")
        if file["way"] is not None:
            go(job, plans.keys("way", file["way"]))
        value, missing = plans.check(job, file)
        on_word = proofs.verdict(job, file, value, missing)
        sheets.check(path, file)
        if job.parted:
            rows = file["not_verified"]["in_rows"]
            plans.need(rows and rows["missing"] > missing, "no more would be missing in rows")
            on_word = True
    except plans.Fault as fault:
        return str(fault), on_word
    except (KeyError, TypeError, AttributeError, IndexError, ValueError) as error:
        return f"not of the shape of a plan file: {error!r}", on_word
    return "", on_word


def go(job, way):
    """Limits a job to the boards of a way of buying."""
    lengths = {}
    for wood in way["woods"]:
        few = set(plans.keys("woods", wood)["lengths_nm"])
        plans.need(way["kind"] == "at_most" and len(few) <= way["most_lengths"]
                   or way["kind"] == "one_length" and len(few) == len(way["woods"]) == 1, "more lengths than the way has")
        lengths |= dict.fromkeys(wood["boards"], few)
    job.go(way["kind"], way["own"], lengths)


def main():
    """Says what holds."""
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    with open(sys.argv[2], encoding="utf-8") as file:
        text = file.read()
    try:
        wrong, on_word = judge(sys.argv[1], text)
    except jobs.Unread as unread:
        print(f"not read here: {unread}")
        sys.exit(2)
    print(wrong or ("it holds, but a bound is higher than what is proved" if on_word else "all of it holds"))
    sys.exit(1 if wrong else 4 if on_word else 0)


if __name__ == "__main__":
    main()
