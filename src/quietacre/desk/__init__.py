"""The desk: a page on the loopback, in the person's own browser, that does the whole job.

It writes nothing itself: what a person asks for is done by the same commands as at the terminal,
in a process beside the server, and comes back in the same words.
"""

#: The word that begins the process beside the server; no list of commands shows it.
WORK = "_work"
#: What a command is told before its own words: the desk's boxes are in US units.
IN_US = ("--units", "us")
