"""python -m rfq."""

from rfq.cli.main import main

main()
