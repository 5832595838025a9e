# gcovr's CSV (filename, line_total, line_covered, ..., branch_total, branch_covered) as a table, a line a room.
# SPDX-License-Identifier: GPL-3.0-or-later
BEGIN { FS = "," }
NR == 1 { for (i = 1; i <= NF; i++) at[$i] = i; next }
{
    split($at["filename"], part, "/")
    room = part[1] "/" part[2]
    rooms[room] = 1
    lines[room] += $at["line_total"]; reached[room] += $at["line_covered"]
    branches[room] += $at["branch_total"]; taken[room] += $at["branch_covered"]
}
END {
    for (room in rooms)
        printf "%-12s %6d of %6d lines %5.1f %%   %6d of %6d branches %5.1f %%\n", room, reached[room], lines[room], \
            100 * reached[room] / (lines[room] ? lines[room] : 1), taken[room], branches[room], 100 * taken[room] / (branches[room] ? branches[room] : 1) | "sort"
}
