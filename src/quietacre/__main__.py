"""``python -m quietacre``."""

from quietacre.cli import main

main(prog_name="quietacre")
