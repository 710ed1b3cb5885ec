"""What is typed on a first day, for tests of commands and pages."""

# Eight readings of an arch as a spreadsheet and a hand give them: tabs, spaces, decimal commas.
EIGHT = (
    "70,6\t2,1\t17,8\n72,0\t1,4\t15,1\n70,4\t2,0\t17,0\n72,9\t0,9\t13,6\n71,8\t0,1\t9,9\n70 2 16\n"
    "50\t20\t13\n52\t21\t13\n"
)
