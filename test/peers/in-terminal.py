"""Runs a program in a pseudo-terminal: `in-terminal.py COLUMNS ROWS KEY_AFTER KEY program args...`.

What the program prints goes to standard output as it comes; when KEY_AFTER (text) has come by, KEY is typed once.
Ends with the exit status of the program.
"""
import fcntl
import os
import pty
import struct
import sys
import termios

columns, rows, after, key = int(sys.argv[1]), int(sys.argv[2]), sys.argv[3].encode(), sys.argv[4].encode()
child, terminal = pty.fork()
if child == 0:
    # The size is set before the program looks.
    fcntl.ioctl(0, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
    os.execvp(sys.argv[5], sys.argv[5:])
seen = b""
typed = not after
while True:
    try:
        got = os.read(terminal, 65536)
    except OSError:
        break
    if not got:
        break
    os.write(1, got)
    if not typed:
        seen += got
        if after in seen:
            os.write(terminal, key)
            typed = True
status = os.waitpid(child, 0)[1]
sys.exit(os.waitstatus_to_exitcode(status) & 0xFF)
