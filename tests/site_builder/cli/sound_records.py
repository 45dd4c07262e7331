"""A sound collection for the command line, and the command itself."""

import sys
from pathlib import Path

COMMAND = Path(sys.executable).with_name("counterpane")
SOUND = {
    "collection.yaml": "title: Quilts of mine\nsite: {url: https://quilts.example}\n",
    "quilts/low-tide.yaml": "title: Low Tide\ndestination: free\nstory: By the sea.\n",
    "quilts/high-tide.yaml": "title: High Tide\ndestination: kept\nphotos: [high-tide/front.jpg]\n",
}
