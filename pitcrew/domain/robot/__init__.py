"""What the robot is: its build sheet, kinds of parts, the climb's table, and mistakes in files."""
