"""The command line: one file a command. It reads what was asked, calls, prints, and ends with an exit code.

It computes nothing. Heavy libraries load when a command needs them.
"""
