"""What holds the robot up: the hold path computed link by link from the build sheet and the last
readings."""
