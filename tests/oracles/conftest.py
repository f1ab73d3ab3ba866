"""What runs in the pipe-network library's own environment is no test of this one."""

collect_ignore = ["run_pandapipes.py"]
