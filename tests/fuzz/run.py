"""
Tries many damaged layers: `python -m tests.fuzz.run --count 200000 --seed 1 --keep FOLDER`.

Each goes all the way from bytes to a report. Only a report or an error that a user can mend is right, within
5 s of processor time and 1 GiB. What failed is written to the folder by its number; `--only NUMBER` writes a
case to standard output, `--begin NUMBER --count 1` tries it again. Cases are made from the fixtures, and from
the layers in PASTECHECK_SHARED where that is set: with other layers a number means another case.
"""

import argparse
import os
import time
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from tests.fuzz import mutations, seeds, trial, workers

_SLOWEST = 10
_EVERY = 5_000


def main(arguments: Sequence[str] | None = None) -> int:
    """Try, print what was found, and return how many cases failed (at most 1 as an exit status)."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--count", type=int, default=200_000)
    parser.add_argument("--begin", type=int, default=0, help="number of the first case")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--keep", type=Path, help="folder for cases that failed")
    parser.add_argument("--only", type=int, help="write this case to standard output, and try nothing")
    options = parser.parse_args(arguments)
    layers = seeds.own_layers() + seeds.corpus_layers()

    def content(number: int) -> bytes:
        return mutations.case(layers, options.seed, number)

    if options.only is not None:
        os.write(1, content(options.only))
        return 0
    trial.warm_up()
    began = time.monotonic()
    found: list[workers.Result] = []
    numbers = range(options.begin, options.begin + options.count)
    for result in workers.results(
        lambda number: trial.outcome(content(number), number), numbers, options.workers
    ):
        found.append(result._replace(details=""))
        if result.failed:
            print(f"case {result.number}: {result.outcome}", flush=True)
            _keep(options.keep, options.seed, result, content(result.number))
        if len(found) % _EVERY == 0:
            print(f"{len(found)} cases, {time.monotonic() - began:.0f} s", flush=True)
    _print_summary(found, time.monotonic() - began)
    return int(any(result.failed for result in found))


def _keep(folder: Path | None, seed: int, result: workers.Result, content: bytes) -> None:
    if folder is None:
        return
    folder.mkdir(parents=True, exist_ok=True)
    name = f"seed-{seed}-case-{result.number}"
    (folder / f"{name}.gbr").write_bytes(content)
    (folder / f"{name}.txt").write_text(f"{result.outcome}\n{result.details}", encoding="utf-8")


def _print_summary(found: Sequence[workers.Result], seconds: float) -> None:
    failed = [result for result in found if result.failed]
    print(f"\n{len(found)} cases in {seconds:.0f} s, {len(failed)} failed")
    for outcome, count in Counter(result.outcome for result in found).most_common():
        print(f"  {count:8} {outcome}")
    print("slowest (s of processor time):")
    for result in sorted(found, key=lambda result: -result.seconds)[:_SLOWEST]:
        print(f"  {result.seconds:8.2f} case {result.number}: {result.outcome}")
    print("largest (MiB, the whole process):")
    for result in sorted(found, key=lambda result: -result.bytes)[:_SLOWEST]:
        print(f"  {result.bytes / 2**20:8.0f} case {result.number}: {result.outcome}")


if __name__ == "__main__":
    raise SystemExit(main())
