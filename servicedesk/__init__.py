"""The memory of a company that looks after on-site aerobic wastewater systems."""

__version__ = "0.1.0"
