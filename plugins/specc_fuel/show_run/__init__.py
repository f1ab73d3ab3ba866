"""The show followed through its nights: gas used, how cold and empty the cylinders get, each burst."""
