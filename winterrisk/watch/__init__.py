"""Whether the nights run, unattended and for years: schedule, one run at a time, the log of runs, the watchdog.

| file | question it answers |
|---|---|
| `write_lock` | is another run at this course, and is it alive |
| `steps`, `write_log`, `read_log` | how long each step of a run took, and how it ended |
| `due` | has tonight's call been worked, which nights were not, does the clock go backwards |
| `calendar`, `crontab`, `systemd_units`, `write_schedule` | when it runs, in this user's own crontab or timers |
| `status`, `read_status` | one line a course, and how well it is |
"""
