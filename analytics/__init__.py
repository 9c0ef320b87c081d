"""Tideworn's analysis: from a fleet's records to the boats at risk and the parts budget."""

import os

# The matrices here are small: threads of the linear algebra library cost more than they save, and
# how many there are would change the last digits. It reads this when numpy is first imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

__version__ = "0.1.0"
