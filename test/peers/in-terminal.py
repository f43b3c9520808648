"""Runs a program in a pseudo-terminal: `in-terminal.py COLUMNS ROWS KEYS program args...`.

What the program prints goes to standard output as it comes. KEYS is a JSON list of [text, keys]: when the text of the
first has come by, its keys are typed, and then the next is waited for. Ends with the exit status of the program.
"""
import fcntl
import json
import os
import pty
import struct
import sys
import termios

columns, rows = int(sys.argv[1]), int(sys.argv[2])
keys = json.loads(sys.argv[3])
child, terminal = pty.fork()
if child == 0:
    # The size is set before the program looks.
    fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
    os.execvp(sys.argv[4], sys.argv[4:])
seen = b""
while True:
    try:
        got = os.read(terminal, 65536)
    except OSError:
        break
    if not got:
        break
    os.write(1, got)
    seen += got
    while keys and keys[0][0].encode() in seen:
        text, typed = keys.pop(0)
        seen = seen.split(text.encode(), 1)[1]
        os.write(terminal, typed.encode())
status = os.waitpid(child, 0)[1]
sys.exit(os.waitstatus_to_exitcode(status) & 0xFF)
