"""Hours and money: tasks times events, prices times what crosses the fence."""
