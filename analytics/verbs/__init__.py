"""What each verb of the command says, writes and returns.

The answers come from `job`; here they become words on a terminal, files in a
folder and one JSON document, all with the same numbers.
"""
