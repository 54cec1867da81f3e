"""A whole `make` of the hillclimb four against its floor: importing the kernel, and writing the same files again.

    python tests/benchmarks/bench_make.py [repeats]

Each repeat is a fresh process; both sides are measured in it, one after the other. Also how soon `--help` and a bad file answer.
"""

import json
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

CONFIG = Path(__file__).resolve().parents[2] / "configs" / "hillclimb_four.toml"

ONE = """
import json, sys, tempfile, time
from pathlib import Path
start = time.perf_counter()
import cadquery
kernel = time.perf_counter() - start
from generators import __main__ as program
start = time.perf_counter()
config = Path(sys.argv[1])
with tempfile.TemporaryDirectory() as folder:
    read, names = program._wanted(config, None)
    run = program._run(config, read, names, lambda step: None)
    program._write(run, Path(folder), lambda step: None)
whole = time.perf_counter() - start
from generators.exports import files
from generators.report import files as reports
with tempfile.TemporaryDirectory() as folder:
    start = time.perf_counter()
    files.write_parts(run.read.parameters, list(run.meshes.values()), run.placing, run.pack, Path(folder), region=run.region)
    parts = time.perf_counter() - start
    start = time.perf_counter()
    reports.write(run, Path(folder))
    report = time.perf_counter() - start
print(json.dumps({"import cadquery": kernel, "whole make": kernel + whole, "write parts": parts, "write report": report}))
"""


def whole() -> dict[str, float]:
    """Seconds of one make in a fresh process."""
    made = subprocess.run([sys.executable, "-c", ONE, str(CONFIG)], capture_output=True, text=True, check=True)
    return json.loads(made.stdout.splitlines()[-1])


def answer(*args: str) -> float:
    """Seconds until the program answers."""
    start = time.perf_counter()
    subprocess.run([sys.executable, "-m", "generators", *args], capture_output=True, check=False)
    return time.perf_counter() - start


def main() -> None:
    """Print medians and the ratio."""
    repeats = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    rows = [whole() for _ in range(repeats)]
    middle = {key: statistics.median(row[key] for row in rows) for key in rows[0]}
    for key, value in middle.items():
        print(f"{key:>20}: {value:6.2f} s")
    floor = middle["import cadquery"] + middle["write parts"] + middle["write report"]
    print(f"{'whole / floor':>20}: {middle['whole make'] / floor:6.2f}   (kernel + all files; goal 3 at most)")
    bare = middle["import cadquery"] + middle["write parts"]
    print(f"{'whole / bare floor':>20}: {middle['whole make'] / bare:6.2f}   (kernel + STEP, STL, DXF, list; without the report)")
    with tempfile.TemporaryDirectory() as folder:
        bad = Path(folder) / "bad.toml"
        bad.write_text(CONFIG.read_text().replace('"420 mm"', "420"))
        print(f"{'--help':>20}: {statistics.median(answer('--help') for _ in range(repeats)):6.2f} s   (goal 0.5)")
        print(f"{'a bad file':>20}: {statistics.median(answer('make', str(bad)) for _ in range(repeats)):6.2f} s   (goal 1)")


if __name__ == "__main__":
    main()
