"""Let the tests of the proof find its modules."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
