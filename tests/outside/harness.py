"""Counts checks and prints those that fail; finds the programs that the checks talk to."""

import sys
from pathlib import Path


def example(name: str) -> str:
    """The path of an example program, which run.py builds in the folder of the program that it is given."""
    built = Path(__file__).resolve().parents[2] / "target" / "release"
    program = Path(sys.argv[1]).resolve() if len(sys.argv) > 1 else built / "flatwright"
    return str(program.parents[1] / "debug" / "examples" / name)


class Harness:
    """Holds what has passed and what has failed."""

    def __init__(self) -> None:
        self.passed = 0
        self.failed = 0
        self.where = ""

    def section(self, name: str) -> None:
        """Names what the next checks are about."""
        self.where = name
        print(f"-- {name}")

    def check(self, what: str, holds: bool, found: str = "") -> bool:
        """Counts one check; prints it where it fails."""
        if holds:
            self.passed += 1
        else:
            self.failed += 1
            print(f"FAILED [{self.where}] {what}: {found}")
        return bool(holds)

    def close(self) -> int:
        """Prints the count; the exit code."""
        print(f"{self.passed} passed, {self.failed} failed")
        return 1 if self.failed or not self.passed else 0
