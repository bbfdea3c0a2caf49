"""Let the tests of this room share their cook."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
