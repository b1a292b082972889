"""The sheet that hangs on a bike that is not to be ridden."""
