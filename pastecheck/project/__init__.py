"""The project file: what is judged of a board, by what, and what is to stay as it is."""

from pastecheck.project.reading import LayerEntry, Project, read_project
from pastecheck.project.starter import RULES, Starter, started
from pastecheck.project.using import board_files_in, layers_in, rule_set_of
from pastecheck.project.waiving import waived

__all__ = [
    "RULES",
    "LayerEntry",
    "Project",
    "Starter",
    "board_files_in",
    "layers_in",
    "read_project",
    "rule_set_of",
    "started",
    "waived",
]
