import sys
from pathlib import Path

# the helpers of this folder, whichever folder the tests were started from
sys.path.insert(0, str(Path(__file__).parent))
