"""Let the fuzz test import the helper modules beside it."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
