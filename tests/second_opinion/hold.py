"""What can be cut from the boards of a job, as proofs count it: classes of parts, clear runs and their kinds.

Written from `src/planfile/format.md`.
"""

from collections import Counter
from functools import cache
from itertools import chain, combinations
from typing import NamedTuple

from job import Section
from plan import widest_kerf


class Class(NamedTuple):
    """What makes parts alike; a row is one part, and alike to rows whose rails are alike one by one."""
    section: Section
    kerf: int
    saving: int
    length: int  # of a spare offcut, as it must be behind cuts
    board: str | None  # the only line that it may come from
    rails: tuple  # of a row
    spare: tuple  # of a spare offcut, its length uncut and that of its rail

    def room(self, line):
        """The shortest clear run of a board of the line from which it can come."""
        return self.spare[1 if line.rack else 0] if self.spare else self.length


class Run(NamedTuple):
    """A clear run of a strip."""
    length: int
    open: bool  # whether a part can be left behind the cuts on it


class Classes:
    """The classes of all parts of a job, with their demands, and what each board can hold."""

    def __init__(self, job):
        self.job, self.demand, self.of, self.ranks = job, Counter(), {}, {}
        rows = {}
        for part in job.parts:
            rows.setdefault((part.owner, part.copy, part.row) if part.row else part.key(), []).append(part)
        for parts in rows.values():
            parts.sort(key=lambda part: part.row.index(part.side) if part.row else 0)
            lengths = tuple(part.length for part in parts)
            part, spare = parts[0], parts[0].purpose == "spare_offcut"
            length = job.left(part, cut=True) if spare else sum(lengths) + (len(parts) - 1) * part.kerf
            kind = Class(part.section, part.kerf, 0 if part.row else part.overlap, length, part.board,
                         lengths if part.row else (), (job.left(part, cut=False), part.length) if spare else ())
            self.demand[kind] += 1
            self.of |= {part.key(): kind for part in parts}

    @cache
    def portions(self, line):
        """What can be cut from one board of the line together: lists of classes, one for each portion."""
        found = {}
        for kind in self.demand:
            section = kind.section
            if (kind.board in (None, line.name) and self.job.suits(section, line)
                    and self.longest(line, section) >= kind.room(line)):
                whole_board = self.job.ripped(section, line) is None
                portion = "parted" if line.partings else section if whole_board else "ripped"
                found.setdefault(portion, set()).add(kind)
        return found

    @cache
    def longest(self, line, section):
        return self.job.longest_run(section, line, widest_kerf(self.job, section))

    def kept(self, line, classes):
        """Those of the classes for which a board of the line may stay as it lies."""
        return {c for c in classes if c.spare and line.rack and self.job.suits(c.section, line.whole())
                and self.longest(line, c.section) >= c.spare[1]}

    def rank(self, strip):
        """A place for each strip, so that those of one board are told in one order."""
        return self.ranks.setdefault(strip, len(self.ranks))

    def uses_of_stick(self, stick, sections):
        """All ways to divide a stick of a board: for one section that suits it as it is, or ripped."""
        sections = frozenset(section for section in sections if self.job.suits(section, stick))
        whole_stick = {section for section in sections if self.job.ripped(section, stick) is None}
        ripped = self.divisions(stick, "ripped", sections - whole_stick)
        return ripped.union(*(self.divisions(stick, section, sections) for section in whole_stick))

    def uses_of_way(self, sticks, sections):
        """All ways to divide all sticks together; slices are alike, so most come in every order."""
        found = {()}
        for stick in sticks:
            found = {tuple(sorted((*way, *more), key=self.rank)) for way in found for more in self.uses_of_stick(stick, sections)}
        return found

    @cache
    def divisions(self, line, portion, sections):
        """All ways to divide a board into strips of sections, each strip as its section and its clear runs."""
        job = self.job
        if portion == "parted":
            return set(chain.from_iterable(self.uses_of_way(line.sticks(way), sections) for way in line.partings))

        def strip(section, near):
            far, widest = None if near is None else near + job.ripped(section, line), widest_kerf(job, section)
            runs = job.clear(line, job.stretches(line, near, far, widest))
            gaps = [after - end for (_, end), (after, _) in zip(runs, runs[1:])] + [job.trim + widest]
            return section, tuple(Run(b - a, gap >= job.trim + widest) for (a, b), gap in zip(runs, gaps))

        if portion != "ripped":
            return {(strip(portion, None),)}
        depths = {depth for _, _, across, depth in line.defects if across == "left"}

        @cache
        def beside(x):
            found = {()}
            for section in sections:
                wide = job.ripped(section, line)
                for near in {x} | {depth for depth in depths if depth > x}:
                    if near + wide <= line.width - job.rip["straightening"]:
                        found |= {tuple(sorted((strip(section, near), *rest), key=self.rank))
                                  for rest in beside(near + wide + job.rip["kerf"])}
            return found

        return beside(0)


def uncut(kind):
    """How a strip is told that holds nothing but one part that is left."""
    return kind.length, frozenset({kind})


@cache
def kinds_of_run(run, classes):
    """The kinds of a clear run: capacity and classes for every `K*` and `T`."""
    fitting = [c for c in classes if c.length <= run.length and (run.open or not c.spare)]
    found = set()
    for least in {c.kerf for c in fitting}:
        pairs = sorted({(c.kerf, c.saving) for c in fitting if c.saving and c.kerf >= least})
        for size in range(len(pairs) + 1):
            for chosen in combinations(pairs, size):
                on_it = frozenset(c for c in fitting
                                  if c.kerf >= least and (not c.saving or (c.kerf, c.saving) in chosen))
                if least in {c.kerf for c in on_it}:
                    found.add((run.length + least - sum(saving for _, saving in chosen), on_it))
    return found


def uses_of_strip(runs, classes):
    """All uses of a strip, each as the kinds of its clear runs that hold something: cut, or left for one part."""
    cut = [kinds for kinds in (kinds_of_run(run, classes) for run in runs) if kinds]
    left = [c for c in classes if c.spare and any(run.length >= c.spare[0] for run in runs)
            and not any(run.open and run.length >= c.length for run in runs)]
    return [cut] + [[{uncut(c)}] for c in left]


def within(way, wider):
    """Whether each run of a way has one of its own in another way, of the same section and at least as long."""
    left = sorted(wider, key=lambda run: run[1])
    for section, (long, leaves) in sorted(way, key=lambda run: -run[1].length):
        place = next((i for i in reversed(range(len(left))) if left[i][0] == section and left[i][1].length >= long
                      and left[i][1].open >= leaves), None)
        if place is None:
            return False
        del left[place]
    return True
