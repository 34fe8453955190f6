"""The command line: one module a command, which parses, calls one function and prints."""
