"""Looks a built wheel over: all that the program reads is in it, and nothing else.

Use: python .ci/wheel.py FILE.whl (ends with 1 if something is wrong)
"""

import sys
import zipfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
LARGEST_MB, LARGEST_FILE_MB = 5, 1
NEEDED = (
    "servicedesk/py.typed",
    "servicedesk/records/migrations/versions/0001_the_first_tables.py",
    "servicedesk/records/migrations/script.py.mako",
    "sample_db/load.py",
    "sample_db/truth.yaml",
)


def faults_in(path: Path) -> list[str]:
    """What is wrong with a wheel, one line each."""
    with zipfile.ZipFile(path) as wheel:
        sizes = {entry.filename: entry.file_size for entry in wheel.infolist()}
        entry_points = [n for n in sizes if n.endswith(".dist-info/entry_points.txt")]
        entries = "".join(wheel.read(name).decode() for name in entry_points)
    resources = ROOT / "resources"
    wanted = [*NEEDED, *(f"servicedesk/resources/{p}" for p in _files_below(resources))]
    faults = [f"{name} is missing" for name in wanted if name not in sizes]
    tops = {name.split("/")[0] for name in sizes}
    strange = {t for t in tops if t not in {"servicedesk", "sample_db"} and ".dist-info" not in t}
    faults += [f"{top} does not belong in it" for top in sorted(strange)]
    licences = {Path(name).name for name in sizes if ".dist-info/licenses/" in name}
    own = {"LICENSE", *(p.name for p in resources.glob("fonts/OFL-*.txt"))}
    faults += [f"the licence {name} is missing" for name in sorted(own - licences)]
    if "servicedesk = servicedesk.__main__:main" not in entries:
        faults.append("the command servicedesk is missing")
    limit = LARGEST_FILE_MB * 1_000_000
    faults += [f"{name} is larger than 1 MB" for name, size in sizes.items() if size > limit]
    if path.stat().st_size > LARGEST_MB * 1_000_000:
        faults.append(f"it is larger than {LARGEST_MB} MB")
    return faults


def _files_below(folder: Path) -> list[str]:
    found = (p for p in folder.rglob("*") if p.is_file() and "__pycache__" not in p.parts)
    return sorted(p.relative_to(folder).as_posix() for p in found)


def main() -> int:
    path = Path(sys.argv[1])
    faults = faults_in(path)
    for fault in faults:
        print(f"{path.name}: {fault}")
    print(f"{path.name}: {path.stat().st_size / 1e6:.1f} MB")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
