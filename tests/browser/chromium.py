"""The Chromium that the browser tests use: one found on the machine, else Debian's package.

As a script it makes sure of one before the tests start, and of the library that Playwright needs
beside it. Playwright's own download of a browser is never used.
"""

import os
import shutil
import subprocess
import sys
from pathlib import Path

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
MAC_APPLICATIONS = (
    Path("/Applications/Chromium.app/Contents/MacOS/Chromium"),
    Path("/Applications/Google Chrome.app/Contents/MacOS/Google Chrome"),
)
MISSING = (
    "The browser tests need Chromium, and none was found. Install it\n"
    "  Debian, Ubuntu:  sudo apt install chromium\n"
    "  Fedora:          sudo dnf install chromium\n"
    "  macOS:           brew install --cask chromium\n"
    "or name one that is already there: CHROMIUM=/path/to/chromium make test"
)


def find_chromium() -> Path | None:
    """The browser named by the environment's CHROMIUM, else the first one installed."""
    named = os.environ.get("CHROMIUM")
    candidates = (named,) if named else NAMES
    for candidate in candidates:
        if found := shutil.which(candidate):
            return Path(found)
    if named:
        return None
    return next((path for path in MAC_APPLICATIONS if path.exists()), None)


DRIVER_FAILS = (
    "Playwright, which leads Chromium through the browser tests, does not start. What it said:\n"
    "  {said}\n"
    "Where it misses libatomic.so.1:\n"
    "  Debian, Ubuntu:  sudo apt install libatomic1\n"
    "  Fedora:          sudo dnf install libatomic"
)


def what_stops_the_driver() -> str:
    """What Playwright's own program says where it can't start; nothing where it can."""
    run = subprocess.run([sys.executable, "-m", "playwright", "--version"], capture_output=True, text=True, check=False)
    return "" if run.returncode == 0 else run.stderr.strip() or f"It ended with {run.returncode}."


def install_debian_packages(*names: str) -> bool:
    """Install packages of Debian where that may be done without asking for a password."""
    if not shutil.which("apt-get"):
        return False
    as_root = [] if os.geteuid() == 0 else ["sudo", "-n"]
    try:
        subprocess.run([*as_root, "true"], capture_output=True, check=True)
    except (OSError, subprocess.CalledProcessError):
        return False
    print(f"Installing {' and '.join(names)} from Debian for the browser tests.", flush=True)
    apt = [*as_root, "env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "--quiet=2"]
    subprocess.run([*apt, "update"], check=False)
    installed = subprocess.run([*apt, "install", "--no-install-recommends", *names], check=False)
    return installed.returncode == 0


def main() -> int:
    """Make sure of both; 1 where one is missing and could not be installed."""
    if not find_chromium():
        if named := os.environ.get("CHROMIUM"):
            print(f"CHROMIUM names {named}, which is not a program that can be run.", file=sys.stderr)
            return 1
        if not (install_debian_packages("chromium") and find_chromium()):
            print(MISSING, file=sys.stderr)
            return 1
    said = what_stops_the_driver()
    if "libatomic.so.1" in said and install_debian_packages("libatomic1"):
        said = what_stops_the_driver()
    if said:
        print(DRIVER_FAILS.format(said=said), file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
