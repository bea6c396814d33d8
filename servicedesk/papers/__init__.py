"""What leaves the house on paper or as a file."""

import sys
from types import ModuleType

# The PDF library runs a file of settings out of the person's home when it is loaded, and ends
# where that home is a file (HOME=/dev/null). Papers look alike for everybody: nothing is asked.
sys.modules.setdefault("reportlab_mods", ModuleType("reportlab_mods"))
