#!/usr/bin/env python3
"""Holds the second opinion against the program: `trial.py LONGPOINT [JOBS FORGERIES SEED]`.

Plans every demo and as many drawn jobs as asked for, forges so many of the plans by rule, and lets `longpoint verify`
and `check.py` judge them all. They must agree on each, and accept each plan that the program made. Counts are printed by
kind; the exit code is 1 if there is a difference, whose files are then kept and named. `by word`: the plan holds, but a
bound rests on the word of the search; `unread`: what `verify` rejects is only in places not read here.
"""

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
from draw import WISHES, draw
from forge import RULES, claims_of, cuts_of

ROOT = Path(__file__).resolve().parents[2]


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
        if done.returncode not in (0, 1, 2):
            sys.exit(f"{path}: the program ends with {done.returncode}\n{done.stderr}")
        return done.stdout if done.returncode != 2 and done.stdout else None

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
    if len(sys.argv) < 2:
        sys.exit(__doc__)
    program, *given = sys.argv[1:5]
    program = Path(program).resolve()
    jobs_wanted, forgeries, seed = map(int, given + ["300", "300", "7"][len(given):])
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
        if {"resaw", "yard", "knots"} <= set(f"{wish}+{second}".split("+")):
            # Slices of stretches beside knots are divided in more ways than can be gone through here.
            second = wish
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
                sys.exit(f"no plan that {rule.__name__} could forge")
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
