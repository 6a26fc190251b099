#!/usr/bin/env python3
"""A second opinion on a plan file: `check.py JOB.toml PLAN.json`.

Judges the plan and its proof as `longpoint verify` does, but shares nothing with it: another language, and written from
the guide and `src/planfile/format.md` alone. `job.py` reads what is asked for, `plan.py` looks at every cut and sum,
`proof.py` at the certificate; `trial.py` holds this opinion against that of the program.
Exit code 0: all holds; 1: something does not; 2: the job has something that is not read here.
"""

import sys

import job as jobs
import plan as plans
import proof as proofs


def judge(job, text):
    """What does not hold of a plan file, in words; empty if all holds."""
    try:
        file = plans.load(text)
        value, missing = plans.check(job, file)
        proofs.verdict(job, file, value, missing)
    except plans.Fault as fault:
        return str(fault)
    except (KeyError, TypeError, AttributeError, IndexError, ValueError) as error:
        return f"not of the shape of a plan file: {error!r}"
    return ""


def main():
    """Says what holds."""
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    try:
        job = jobs.read(sys.argv[1])
    except jobs.Unread as unread:
        print(f"not read here: {unread}")
        sys.exit(2)
    with open(sys.argv[2], encoding="utf-8") as file:
        wrong = judge(job, file.read())
    print(wrong or "all of it holds")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
