"""The Chromium that the browser tests use: one found on the machine, else Debian's package.

As a script it makes sure of one before the tests start. Playwright's own download of a browser is
never used.
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


def install_debian_package() -> bool:
    """Install Debian's Chromium where that may be done without asking for a password."""
    if not shutil.which("apt-get"):
        return False
    as_root = [] if os.geteuid() == 0 else ["sudo", "-n"]
    try:
        subprocess.run([*as_root, "true"], capture_output=True, check=True)
    except (OSError, subprocess.CalledProcessError):
        return False
    print("Installing Debian's Chromium for the browser tests.", flush=True)
    apt = [*as_root, "env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "--quiet=2"]
    subprocess.run([*apt, "update"], check=False)
    installed = subprocess.run([*apt, "install", "--no-install-recommends", "chromium"], check=False)
    return installed.returncode == 0


def main() -> int:
    if find_chromium():
        return 0
    if named := os.environ.get("CHROMIUM"):
        print(f"CHROMIUM names {named}, which is not a program that can be run.", file=sys.stderr)
        return 1
    if install_debian_package() and find_chromium():
        return 0
    print(MISSING, file=sys.stderr)
    return 1


if __name__ == "__main__":
    sys.exit(main())
