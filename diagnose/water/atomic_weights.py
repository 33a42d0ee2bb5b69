"""Masses of the atoms and ions that water chemistry needs, in g/mol.

Conventional and abridged standard atomic weights of the IUPAC Commission on Isotopic Abundances
and Atomic Weights [1]_ (values from memory, compared with an independent table in the tests).

References
----------
.. [1] Prohaska, T., et al. 2022. Standard atomic weights of the elements 2021 (IUPAC Technical
   Report). Pure and Applied Chemistry 94: 573-600.
"""

from __future__ import annotations

from typing import Final

H: Final = 1.008
C: Final = 12.011
N: Final = 14.007
O: Final = 15.999  # noqa: E741 - the symbol of the element
NA: Final = 22.990
MG: Final = 24.305
S: Final = 32.06
CL: Final = 35.45
CA: Final = 40.078

CO2: Final = C + 2 * O
HCO3: Final = H + C + 3 * O
CACO3: Final = CA + C + 3 * O
CAO: Final = CA + O
MGO: Final = MG + O
NH3: Final = N + 3 * H
NH4: Final = N + 4 * H
NO2: Final = N + 2 * O
NO3: Final = N + 3 * O
CHLORINE: Final = 2 * CL
O2: Final = 2 * O
