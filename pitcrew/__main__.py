"""`python -m pitcrew` is the same as the `pitcrew` command."""

from pitcrew.cli.main import main

if __name__ == "__main__":
    main()
