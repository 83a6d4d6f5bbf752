"""`python -m buildlog` is the command `buildlog`."""

from buildlog.cli import main

if __name__ == "__main__":
    main()
