"""Factors of a Hessian: three ways to have them, and which is taken.

``fronts``: sparse Cholesky by small dense fronts, in compiled code. ``bands``: LAPACK's banded Cholesky, where there is
no compiled code and the unknowns can be numbered in a narrow band. ``sparse_lu``: scipy's SuperLU, for what is left.
``plans`` chooses.
"""
