"""Cutting data, densities and prices of 30 materials, as rows.

Sources by column. Specific cutting force kc1.1 and exponent mc: the material-group table of
ISO 513 / VDI 3323 as printed by a carbide maker (seen; groups in the notes), with second
readings named in the notes. Cutting speeds and feeds per tooth: a carbide maker's table for end
mills D10 to D16 (seen), else from memory. Density: the open table of the package bd-materials
0.2.5 (seen) or from memory, as noted. Prices and scrap shares: from memory (common practice;
cut-to-size small lots, EU, 2024 to 2026); every user may set their own.
"""

from __future__ import annotations

#: designation | listed as | family | ISO 513 | density kg/m3 | kc1.1 N/mm2, mc |
#: vc roughing lo typ hi m/min | fz lo typ hi mm | vc finishing | EUR/kg lo typ hi | scrap lo typ hi
ROWS = """
EN AW-6061 | EN AW-6061 T6/T651 | aluminium wrought | N | 2700 | 800 0.25 | 200 400 700 | 0.07 0.1 0.15 | 600 | 5 8 13 | 0.05 0.15 0.3
EN AW-6082 | EN AW-6082 T6/T651 | aluminium wrought | N | 2700 | 800 0.25 | 200 400 700 | 0.07 0.1 0.15 | 600 | 4.5 7 12 | 0.05 0.15 0.3
EN AW-7075 | EN AW-7075 T6/T651 | aluminium wrought | N | 2810 | 800 0.25 | 200 380 650 | 0.07 0.1 0.15 | 550 | 8 13 22 | 0.05 0.1 0.2
EN AW-2024 | EN AW-2024 T3/T351 | aluminium wrought | N | 2780 | 800 0.25 | 200 380 650 | 0.07 0.1 0.15 | 550 | 9 15 25 | 0.05 0.1 0.2
EN AW-5083 | EN AW-5083 O/H111 (rolled or cast plate) | aluminium wrought | N | 2660 | 700 0.25 | 180 350 600 | 0.06 0.09 0.14 | 500 | 5 7.5 13 | 0.05 0.15 0.3
EN AW-5754 | | aluminium wrought | N | 2670 | 700 0.25 | 180 350 600 | 0.06 0.09 0.14 | 500 | 4.5 6.5 11 | 0.05 0.15 0.3
EN AC-42100 | EN AC-42100 (AlSi7Mg0.3) T6 | aluminium cast | N | 2680 | 700 0.25 | 150 300 500 | 0.06 0.1 0.15 | 450 | 4 6 10 | 0.05 0.12 0.25
EN AC-48000 | EN AC-48000 / Si>12 % | aluminium cast | N | 2680 | 750 0.25 | 100 180 300 | 0.06 0.1 0.15 | 280 | 4 6 10 | 0.05 0.1 0.2
AlSi10Mg | | aluminium printed | N | 2670 | 700 0.25 | 150 300 500 | 0.06 0.1 0.15 | 450 | 35 60 100 | 0 0.05 0.1
S355J2 | S355J2 (1.0577) | steel structural | P | 7850 | 1500 0.22 | 120 160 200 | 0.05 0.08 0.12 | 220 | 1.0 1.7 3.0 | 0.03 0.08 0.15
C45E | C45 / C45E (1.0503/1.1191) | steel carbon | P | 7850 | 1500 0.22 | 80 130 180 | 0.05 0.08 0.12 | 180 | 1.2 2.0 3.5 | 0.03 0.08 0.15
42CrMo4 | 42CrMo4 +QT (1.7225) | steel alloy | P | 7850 | 1725 0.24 | 60 100 140 | 0.05 0.08 0.12 | 140 | 1.6 2.7 4.5 | 0.03 0.08 0.15
16MnCr5 | 16MnCr5 (1.7131) | steel case-hardening | P | 7850 | 1775 0.24 | 80 130 180 | 0.05 0.08 0.12 | 170 | 1.5 2.5 4.2 | 0.03 0.08 0.15
X153CrMoV12 | 1.2379 hardened 55-60 HRC | tool steel hardened | H | 7700 | 4600 0.24 | 40 60 90 | 0.02 0.04 0.06 | 90 | 5 8 13 | 0.03 0.06 0.15
1.4301 | 1.4301 (304) | stainless austenitic | M | 7930 | 2150 0.2 | 40 75 120 | 0.04 0.07 0.11 | 110 | 4 6 10 | 0.08 0.15 0.25
1.4305 | 1.4305 (303) | stainless austenitic free-cutting | M | 7930 | 1950 0.2 | 60 95 150 | 0.05 0.08 0.12 | 140 | 4.5 6.5 10.5 | 0.08 0.14 0.25
1.4404 | 1.4404 (316L) | stainless austenitic | M | 8000 | 2150 0.2 | 40 70 110 | 0.04 0.07 0.11 | 105 | 5 7.5 12 | 0.08 0.15 0.25
1.4542 | 1.4542 (17-4PH) H1025 | stainless PH | M | 7780 | 2400 0.21 | 40 65 100 | 0.04 0.06 0.1 | 95 | 8 13 22 | 0.08 0.12 0.25
1.4404 powder | | stainless printed | M | 7900 | 2150 0.2 | 40 70 110 | 0.04 0.07 0.11 | 105 | 35 60 100 | 0 0.05 0.1
Ti grade 2 | Ti grade 2 (3.7035) | titanium cp | S | 4510 | 1700 0.23 | 50 75 100 | 0.05 0.08 0.12 | 100 | 25 45 80 | 0.03 0.08 0.15
Ti-6Al-4V | Ti-6Al-4V (3.7165) | titanium alloy | S | 4430 | 2110 0.22 | 40 60 80 | 0.05 0.08 0.12 | 80 | 35 60 110 | 0.03 0.08 0.15
Ti-6Al-4V powder | | titanium printed | S | 4410 | 2110 0.22 | 40 60 80 | 0.05 0.08 0.12 | 80 | 120 180 320 | 0 0.02 0.05
Alloy 718 | Inconel 718 (2.4668) aged | nickel alloy | S | 8190 | 3300 0.24 | 20 30 45 | 0.03 0.05 0.08 | 40 | 45 75 130 | 0.08 0.15 0.25
CuZn39Pb3 | CuZn39Pb3 (CW614N) | brass free-cutting | N | 8470 | 700 0.27 | 150 250 400 | 0.07 0.12 0.18 | 350 | 7 9.5 14 | 0.4 0.5 0.65
Cu-ETP | Cu-ETP (CW004A) | copper | N | 8930 | 700 0.27 | 130 220 300 | 0.05 0.09 0.14 | 280 | 10 13 18 | 0.4 0.55 0.65
POM-C | POM-C | plastic | N | 1410 | 200 0.2 | 300 500 800 | 0.1 0.18 0.3 | 600 | 6 10 18 | 0 0 0
PEEK | PEEK unfilled | plastic high-performance | N | 1310 | 250 0.2 | 150 250 400 | 0.08 0.14 0.22 | 350 | 90 140 220 | 0 0 0
PA6 | PA6 (extruded/cast) | plastic | N | 1140 | 200 0.2 | 250 400 700 | 0.1 0.18 0.3 | 500 | 6 10 18 | 0 0 0
PTFE | PTFE | plastic | N | 2170 | 150 0.2 | 200 350 500 | 0.1 0.18 0.3 | 400 | 15 25 40 | 0 0 0
PC | PC | plastic | N | 1200 | 250 0.2 | 200 350 600 | 0.08 0.15 0.25 | 450 | 8 14 25 | 0 0 0
"""  # noqa: E501 - a table reads as a table

_CURED = "kc: group 22, cured (seen); vc range 200-700 and fz 0.07-0.15 for D10-16 seen; ISO 513 N"
#: Where the numbers of one material come from, beyond the columns' sources above.
NOTES: dict[str, str] = {
    "EN AW-6061": f"{_CURED}; density seen",
    "EN AW-6082": f"{_CURED}; a second reading of kc is 700 with mc 0.23; density from memory",
    "EN AW-7075": f"{_CURED}; density seen",
    "EN AW-2024": f"{_CURED}; density seen",
    "EN AW-5083": "kc: group 21, not age-hardening (seen); density from memory",
    "EN AW-5754": "kc and cutting data as EN AW-5083; density and price from memory",
    "EN AC-42100": "kc: group 24 (seen); vc 150-400 seen; density from memory",
    "EN AC-48000": "kc: group 25, above 12 % Si (seen); vc 100-300 seen; density from memory",
    "AlSi10Mg": "finish machining as EN AC-42100; density seen; powder price from memory",
    "S355J2": "kc: group 2 (seen); S235JR read elsewhere 1780/0.17; vc 120-200 coated seen",
    "C45E": "kc: group 2 (seen); a handbook for C45E has 2220/0.14; vc 80-180 and density seen",
    "42CrMo4": (
        "kc: group 8, 1000 MPa (seen); other readings up to 2500/0.26; vc 60-140 and density seen"
    ),
    "16MnCr5": "kc: group 6 (seen); another reading 2100/0.26",
    "X153CrMoV12": "kc: group 38, 55 HRC (seen), mc assumed; vc 40-80 and density seen",
    "1.4301": "kc: group 14 (seen); another reading 2350/0.21; vc 40-140 and density seen",
    "1.4305": "kc: 0.9 x 1.4301, estimate; density between 7900 and 8030",
    "1.4404": "kc: group 14 (seen); vc 40-100 seen; density 8000 seen, 7980 from memory",
    "1.4542": "kc: PH steels in a second group table (seen); density and vc from memory",
    "1.4404 powder": "finish machining as 1.4404; density and powder price from memory",
    "Ti grade 2": "kc: group 36 (seen); density from memory; mill products 13-22 USD/kg seen",
    "Ti-6Al-4V": (
        "kc: group 37 (seen), other tables 1400/0.23 and 1500/0.25; vc 40-80 and density seen; "
        "bar at 30-60 USD/kg seen"
    ),
    "Ti-6Al-4V powder": "finish machining as Ti-6Al-4V; powder at 200-400 USD/kg seen",
    "Alloy 718": "kc: group 34 (seen), second table 2900/0.25; vc 20-50 seen; density from memory",
    "CuZn39Pb3": "kc: group 26, above 1 % Pb (seen); vc 150-400 seen; density 8470 to 8500",
    "Cu-ETP": "kc: group 28 (seen); another reading 1000/0.20; vc 130-300 seen",
    "POM-C": "kc: thermoplastics 150/0.20 and 250/0.20 (seen); vc 300-800 and density seen",
    "PEEK": "kc: estimate from thermoplastics; density 1300 seen, 1310 from memory",
    "PA6": "kc as POM-C; takes up water and grows; density seen",
    "PTFE": "kc: estimate; density seen",
    "PC": "kc: 300/0.20 at second hand for PMMA and PC; density seen",
}

#: kc1.1 low and high as shares of the table value: the readings differ by 1.2 to 1.5 times.
KC_LOW_SHARE, KC_HIGH_SHARE = 0.7, 1.25
#: Materials whose readings are far enough apart to carry their own range, N/mm2.
KC_RANGE: dict[str, tuple[float, float]] = {"Ti-6Al-4V": (1400, 2300)}

#: Other names of the same material: numbers, short forms, trade words. From memory.
ALIASES: dict[str, str] = {
    "EN AW-6061": "6061, AlMg1SiCu, 3.3211, A96061",
    "EN AW-6082": "6082, AlSi1MgMn, AlMgSi1, 3.2315, A96082",
    "EN AW-7075": "7075, AlZn5.5MgCu, AlZnMgCu1.5, 3.4365, A97075",
    "EN AW-2024": "2024, AlCu4Mg1, AlCuMg2, 3.1355, A92024",
    "EN AW-5083": "5083, AlMg4.5Mn0.7, AlMg4.5Mn, 3.3547, A95083, cast tooling plate",
    "EN AW-5754": "5754, AlMg3, 3.3535, A95754",
    "EN AC-42100": "42100, AlSi7Mg0.3, A356, 3.2371",
    "EN AC-48000": "48000, AlSi12CuNiMg",
    "AlSi10Mg": "AlSi10Mg powder, EN AC-43000, 3.2381, printed aluminium",
    "S355J2": "1.0577, S355, St52",
    "C45E": "C45, 1.1191, 1.0503, Ck45, 1045",
    "42CrMo4": "1.7225, 4140",
    "16MnCr5": "1.7131, 5115",
    "X153CrMoV12": "1.2379, D2, X155CrVMo12-1",
    "1.4301": "304, X5CrNi18-10, V2A, S30400",
    "1.4305": "303, X8CrNiS18-9, S30300",
    "1.4404": "316L, X2CrNiMo17-12-2, V4A, S31603",
    "1.4542": "17-4PH, 17-4 PH, 630, X5CrNiCuNb16-4, S17400",
    "1.4404 powder": "316L powder, printed 316L",
    "Ti grade 2": "3.7035, titanium grade 2, Grade 2, Gr2, R50400",
    "Ti-6Al-4V": "Ti6Al4V, TiAl6V4, 3.7165, 3.7164, Grade 5, Titanium Grade 5, Ti grade 5, Gr5, "
    "R56400, Ti64",
    "Ti-6Al-4V powder": "Ti64 powder, Ti6Al4V powder, printed titanium",
    "Alloy 718": "Inconel 718, 2.4668, NiCr19Fe19Nb5Mo3, N07718, In718",
    "CuZn39Pb3": "CW614N, 2.0401, Ms58, brass",
    "Cu-ETP": "CW004A, E-Cu58, 2.0065, copper, C11000",
    "POM-C": "POM, acetal, polyoxymethylene, acetal copolymer",
    "PEEK": "polyetheretherketone, PEEK natural",
    "PA6": "PA 6, polyamide 6, nylon 6, PA6 cast, PA6G",
    "PTFE": "polytetrafluoroethylene",
    "PC": "polycarbonate",
}
