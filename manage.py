#!/usr/bin/env python3
"""The one command of the record keeper: `manage.py start` and Django's own commands."""

from breeding.__main__ import main

if __name__ == "__main__":
    main()
