"""What the journal's tests share: batches to record that need no solver, and a nursery of writers to be killed."""

import json
import os
import random
import resource
import signal
import sys
import time
from pathlib import Path
from typing import Any

from optimizer.journal.batches import BatchDetails, batches, record_batch
from optimizer.journal.records import JournalFault
from optimizer.journal.store import reading, writing

TURKEY = "turkey-ground"


def nutrient(id_: str, name: str, unit: str, amount: float, minimum: float | None, status: str) -> dict[str, Any]:
    return {
        "id": id_,
        "name": name,
        "unit": unit,
        "total": amount * 5,
        "total_high": amount * 5,
        "per_1000_kcal": amount,
        "high_per_1000_kcal": amount,
        "per_kg_dry_matter": amount * 4,
        "minimum": minimum,
        "maximum": None,
        "percent_of_minimum": None,
        "percent_of_maximum": None,
        "status": status,
        "unknown_share": 0.0,
        "source": "test",
    }


def amount(id_: str, name: str, role: str, grams: float, text: str, cost: str | None) -> dict[str, Any]:
    return {
        "id": id_,
        "name": name,
        "role": role,
        "counts_as": "meat" if role != "supplement" else "non-meat",
        "fixed": True,
        "grams": grams,
        "measure": {"count": grams, "unit": "g"},
        "text": text,
        "cost": cost,
        "bone_share": None,
        "bone_share_low": None,
        "bone_share_high": None,
    }


def sheet(title: str = "Turkey", taurine: float = 0.6, turkey_grams: float = 4000.0) -> dict[str, Any]:
    """A sheet's JSON with two lines, the kind that `plan --json` prints."""
    return {
        "status": "assessed",
        "scenario": {"title": title, "file": "turkey.toml"},
        "recipe": {"title": title, "on_hand": [{"food": "turkey-ground", "amount": f"{turkey_grams:g} g"}]},
        "standard": "aafco",
        "life_stage": "adult",
        "aim": "cost",
        "catalog_version": "test",
        "solver": None,
        "totals": {
            "mass_g": turkey_grams + 2,
            "meat_g": turkey_grams,
            "non_meat_g": 2.0,
            "non_meat_share": 0.0005,
            "non_meat_cap": 0.05,
            "bone_share": 0.0,
            "energy_kcal": 5000.0,
            "energy_kcal_per_kg": 1250.0,
            "energy_method": "modified-atwater",
            "cost": {"amount": "20.00", "currency": "EUR"},
            "supplement_count": 1,
        },
        "amounts": [
            amount(TURKEY, "ground turkey", "cut", turkey_grams, f"{turkey_grams / 1000:g} kg", "19.90"),
            amount("taurine-powder", "taurine powder", "supplement", 2.0, "2 g", "0.10"),
        ],
        "nutrients": [nutrient("taurine", "taurine", "g", taurine, 0.5, "met" if taurine >= 0.5 else "short")],
        "ratios": [],
    }


def told(made_on: str = "2026-03-01", **more: Any) -> BatchDetails:
    return BatchDetails(**{"made_on": made_on, "lots": {}, "use_by": {}, **more})


def record(path: Path, title: str = "Turkey", made_on: str = "2026-03-01", **more: Any) -> int:
    with writing(path) as store:
        return record_batch(store, sheet(title), None, {}, told(made_on, **more)).number


def titles(path: Path) -> list[str]:
    with reading(path) as store:
        return [batch.title for batch in batches(store)]


def write_forever(path: Path, name: str, report: int) -> None:
    """Records batches without end; names each on `report` only after it is recorded."""
    count = 0
    while True:
        title = f"{name} {count}"
        record(path, title)
        os.write(report, f"{title}\n".encode())
        count += 1


def kill_writers(folder: Path, kills: int, seed: int) -> None:
    """Starts writers one after the other, kills each at a random moment, prints what each had reported.

    A new journal for every 20 writers, so that kills fall on its making too.
    """
    chance = random.Random(seed)
    for number in range(kills):
        path = folder / f"{number // 20}.db"
        receive, report = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(receive)
            write_forever(path, f"writer {number}", report)
        os.close(report)
        time.sleep(chance.uniform(0.0, 0.08))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        with os.fdopen(receive) as reports:  # a pipe takes a line whole or not at all
            tell(json.dumps([path.name, *reports.read().splitlines()]))


def tell(what: object) -> None:
    sys.stdout.write(f"{what}\n")
    sys.stdout.flush()


def record_until_refused(path: Path) -> None:
    """Records batches until the journal refuses one; prints the titles that were recorded, then the refusal."""
    done: list[str] = []
    try:
        while True:
            record(path, f"batch {len(done)}")
            done.append(f"batch {len(done)}")
    except JournalFault as fault:
        tell(json.dumps([done, str(fault)]))


def as_nobody(path: Path) -> None:
    """Gives up root, whom no permission binds, then tries to record and to read; prints both answers."""
    Path("/").as_uri()  # loads what it needs while it can be read: the interpreter's folder may be root's alone
    if os.getuid() == 0:
        os.setgroups([])
        os.setgid(65534)
        os.setuid(65534)
    try:
        record(path)
        written = "recorded"
    except JournalFault as fault:
        written = str(fault)
    try:
        read = titles(path)
    except JournalFault as fault:
        read = [str(fault)]
    tell(json.dumps([written, read]))


if __name__ == "__main__":
    what, where, *more = sys.argv[1:]
    if what == "kill":
        kill_writers(Path(where), int(more[0]), int(more[1]))
    elif what == "limited":
        resource.setrlimit(resource.RLIMIT_FSIZE, (int(more[0]), int(more[0])))
        record_until_refused(Path(where))
    elif what == "until refused":
        record_until_refused(Path(where))
    elif what == "as nobody":
        as_nobody(Path(where))
    elif what == "record":
        for count in range(int(more[1])):
            tell(record(Path(where), f"{more[0]} {count}"))
