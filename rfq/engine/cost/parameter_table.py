"""The shipped parameters that no material, finish or region brings: low, typical, high.

Every row: name | low typical high | unit | distribution | group | basis | source. Distribution
'p' is PERT (low and high are bounds), 'l' lognormal (low and high are P10 and P90). Basis 's' is
a source seen, 'm' from memory, 'c' common practice. A user's ``rates.toml`` overrides any row by
its name. The file is long because it is one table.
"""

from __future__ import annotations

ROWS = """
# milling
roughing_cutter | 12 16 20 | mm | p | | c | largest cutter used for roughing; capped by the part's size
easy_cut_depth | 0.4 0.6 0.9 | x cutter | p | | c | depth of a roughing cut, aluminium, brass, plastics
easy_cut_width | 0.4 0.65 0.9 | x cutter | p | | c | side step of a roughing cut, aluminium, brass, plastics
steel_cut_depth | 0.4 0.6 1.0 | x cutter | p | | c | depth of a roughing cut, steel
steel_cut_width | 0.25 0.45 0.7 | x cutter | p | | c | side step of a roughing cut, steel
tough_cut_depth | 0.4 0.7 1.0 | x cutter | p | | c | depth of a roughing cut, stainless, titanium, nickel, hard
tough_cut_width | 0.1 0.22 0.35 | x cutter | p | | c | side step of a roughing cut, stainless, titanium, nickel, hard
motor_power | 7.5 11 18 | kW | p | | c | spindle motor of a job shop's machine
motor_efficiency | 0.75 0.82 0.9 | | p | | m | handbooks give 0.75 to 0.9
highest_speed | 8000 12000 18000 | 1/min | p | | c | spindle of a job shop's machine
base_speed | 1000 1500 3000 | 1/min | p | | c | speed from which full power is there
highest_feed | 8000 12000 20000 | mm/min | p | | c | cutting feed of the machine
engaged_share_rough | 0.35 0.5 0.7 | | p | | c | share of the path time in the cut, roughing
engaged_share_finish | 0.55 0.7 0.85 | | p | | c | share of the path time in the cut, finishing
rest_share | 0.04 0.08 0.15 | | p | | c | share of the chips taken in rest steps by the smaller cutter
finished_area_share | 0.5 0.7 0.95 | | p | | c | share of the surface that is milled to finish
floor_share | 0.35 0.5 0.65 | | p | | c | floors among floors and walls
finish_cutter | 8 12 16 | mm | p | | c | cutter for floors and walls
wall_depth | 0.8 1.2 1.5 | x cutter | p | | c | wall height taken in one finishing pass
ball_cutter | 6 8 12 | mm | p | | c | ball nose for free-form faces
scallop | 0.004 0.008 0.02 | mm | p | | c | height left between passes on free-form faces
corner_radius | 2 4 8 | mm | p | | c | smallest inner radius, where the entry doesn't say
corner_depth | 0.2 0.4 0.7 | x height | p | | c | its depth, where the entry doesn't say
corner_count | 4 8 16 | | p | | c | inner corners, where the entry doesn't say
wall_per_corner | 10 20 40 | mm | p | | c | wall length that the corner's cutter must finish
# five axes and set-ups
setups_unsure | 1 2 4 | | p | | c | set-ups on three axes, where the entry doesn't say
setups_unsure_turned | 1 1.5 2 | | p | | c | set-ups of a turned part, where the entry doesn't say
setup_base | 0.25 0.45 1.0 | h | p | complexity | c | clamping, datum, first piece, per set-up (a seen guide: 0.5 to 1 h with tools)
touch_off | 2 4 8 | min | p | | c | each tool set up
repeat_setup | 0.8 0.9 1.0 | x first | p | | c | set-up on a repeat order
programming_base | 0.3 0.5 0.9 | h | p | complexity | c | reading the drawing, plan, model
programming_per_setup | 0.25 0.5 1.0 | h | p | complexity | c | each set-up
programming_per_feature | 0.03 0.05 0.08 | h | p | complexity | c | each feature
programming_per_free_form | 0.15 0.3 0.6 | h/dm2 | p | complexity | c | free-form faces
fixture_unsure | 0 60 300 | EUR | p | complexity | c | where the entry doesn't say if it can be clamped
fixture_makeshift | 60 150 400 | EUR | p | complexity | c | clamping a few pieces without a fixture of their own
makeshift_load | 6 12 25 | min | p | | c | loading and clocking a piece clamped like that
fixture_needed | 300 900 3000 | EUR | p | complexity | c | without parallel clamping faces; smaller for parts below 200 mm
load_vice | 0.5 1.0 2.0 | min | p | | c | load and unload, vice or chuck
load_fixture | 1.5 3.0 6.0 | min | p | | c | load and unload, fixture with clocking
tool_change | 0.08 0.12 0.25 | min | p | | c | chip to chip
allowance | 1.08 1.1 1.15 | x time | p | | m | personal time, fatigue, delay
tool_cost_easy | 0.04 0.08 0.14 | x machine cost | p | | c | cutters, aluminium, brass, plastics
tool_cost_steel | 0.06 0.11 0.18 | x machine cost | p | | c | cutters, steel
tool_cost_tough | 0.1 0.2 0.4 | x machine cost | p | | c | cutters, stainless, titanium, nickel, hard
# missing entry
mass_share_unsure | 0.25 0.45 0.7 | x envelope | p | | c | finished volume, where the entry gives no mass
area_factor_unsure | 1.0 1.4 2.2 | x envelope | p | | c | surface, where the entry doesn't say
edge_factor_unsure | 1.2 2.2 4.0 | x envelope | p | | c | edge length, where the entry doesn't say
# holes and threads
hole_position | 0.03 0.05 0.1 | min | p | | c | move to and spot each hole
drill_speed | 0.6 0.85 1.1 | x table | p | | c | against the carbide drill speeds of cutting_table
drill_feed | 0.012 0.018 0.025 | x diameter | p | | c | feed per revolution
ream_speed | 0.2 0.3 0.4 | x drill | p | | c | reaming against drilling
ream_feed | 0.008 0.012 0.02 | x diameter | p | | c | feed per revolution
tightness_exponent | 0.25 0.32 0.4 | | p | | c | a rule of the trade, seen in print: five times tighter costs 30 to 50 % more
bore_pass | 0.25 0.45 0.9 | min | p | | c | one boring pass with its approach, plus the cut
measure_in_cycle | 0.15 0.25 0.4 | min | p | | c | probing or gauging a tight feature at the machine
tap_speed_easy | 12 18 30 | m/min | p | | c | tapping aluminium, brass, plastics
tap_speed_steel | 8 12 20 | m/min | p | | c | tapping steel
tap_speed_tough | 3 5 9 | m/min | p | | c | tapping stainless, titanium, nickel
grind_minutes | 2 4 9 | min | p | | c | grinding or honing one feature to IT5 or finer, or Ra below 0.4
grind_lot | 20 40 90 | EUR | p | | c | sending a lot to grinding or honing
# turning
turn_speed | 1.0 1.3 1.7 | x milling speed | p | cutting | c | turning against milling with the same material
lathe_highest_speed | 2500 4000 6000 | 1/min | p | | c | spindle of a job shop's lathe
turn_depth | 1.0 2.0 3.5 | mm | p | | c | roughing depth
turn_feed | 0.15 0.22 0.35 | mm/rev | p | cutting | c | roughing feed
turn_finish_feed | 0.08 0.12 0.18 | mm/rev | p | | c | finishing feed
turn_engaged | 0.4 0.55 0.75 | | p | | c | share of the cycle in the cut
milled_share | 0.1 0.2 0.4 | | p | | c | of a mill-turn part's chips that are milled
part_off | 0.1 0.2 0.4 | min | p | | c | parting off and bar feed
# hands
deburr_easy | 1.0 2.0 4.0 | min/m | p | | c | aluminium, brass, plastics
deburr_steel | 1.5 2.5 4.0 | min/m | p | | c | steel
deburr_tough | 2.5 4.0 6.0 | min/m | p | | c | stainless, titanium, nickel, hard
deburr_handling | 0.3 0.5 0.8 | min | p | | c | each piece
deburr_hole | 0.05 0.1 0.25 | min | p | | c | each hole end by hand
learning | 0.85 0.9 0.97 | | p | | c | learning rate of manual minutes, unit curve
washing | 0.3 0.6 1.5 | min | p | | c | washing and packing by hand, each piece
packing | 1 1.8 4 | EUR | p | | c | packing of one piece, grown with its size
packing_lot | 5 12 30 | EUR | p | | c | paperwork and box of a lot
marking | 0.2 0.5 1.5 | min | p | | c | marking each piece
# inspection
gauge_hand | 0.3 0.4 0.8 | min | p | | c | one characteristic by hand
gauge_thread | 0.3 0.5 0.9 | min | p | | c | one thread by gauge
gauge_texture | 0.6 1.0 1.8 | min | p | | c | one roughness
cmm_each | 0.25 0.35 0.6 | min | p | | c | one simple characteristic on the measuring machine
cmm_geometric | 1.0 1.5 2.0 | min | p | | c | one geometrical tolerance on the measuring machine
cmm_piece | 1 2 4 | min | p | | c | loading and aligning each piece measured
cmm_setup | 10 18 30 | min | p | | c | setting up the measuring machine for a lot
cmm_program | 3 4.5 6 | min | p | complexity | c | programming each characteristic once
first_article_base | 0.3 0.6 1.5 | h | p | complexity | c | plan and report
first_article_each | 0.8 1.2 2.5 | min | p | complexity | c | each characteristic
certificate_2 | 0 8 15 | EUR | p | | c | EN 10204 2.1 or 2.2, each lot
certificate_3_1 | 15 25 40 | EUR | p | | c | EN 10204 3.1, each heat
certificate_3_2 | 250 400 800 | EUR | p | | c | EN 10204 3.2, each heat
# stock
stock_allowance | 1.5 2 3 | mm | p | | c | each face of a billet
saw_rate_easy | 40 80 150 | cm2/min | p | | c | sawing aluminium, brass, plastics
saw_rate_steel | 15 30 60 | cm2/min | p | | c | sawing steel
saw_rate_tough | 4 10 20 | cm2/min | p | | c | sawing stainless, titanium, nickel
saw_handling | 0.5 1.0 2.0 | min | p | | c | each cut
material_minimum | 30 50 80 | EUR | p | | c | least order at the stockist, with delivery
scrap_factor | 0.5 1.0 1.8 | x table | p | | c | what chips bring, against the material's table
reject_share | 0.003 0.015 0.05 | | p | | c | pieces lost
# rates
lathe_share | 0.85 0.95 1.1 | x 3-axis rate | p | | c | guides of the trade, seen: lathes 60-90, 3-axis 50-80 USD/h
mill_turn_share | 0.85 0.95 1.1 | x 5-axis rate | p | | c | mill-turn machine
grinding_share | 0.9 1.05 1.4 | x 3-axis rate | p | | c | grinding, honing, wire
bench_share | 0.5 0.6 0.75 | x 3-axis rate | p | | c | deburring, washing, sawing
inspection_share | 0.6 0.75 0.95 | x 3-axis rate | p | | c | inspector with equipment
engineer_share | 0.75 0.9 1.1 | x 3-axis rate | p | | c | programming, first article report
selling_and_general | 0.08 0.12 0.18 | x cost | p | | c | overhead outside the rates of the work places
profit | 0.03 0.08 0.15 | x cost | p | | c | profit
# printing
supports | 0.08 0.15 0.35 | x volume | p | build | c | support structure
powder_waste | 0.05 0.1 0.2 | x powder | p | | c | powder lost
recoat | 7 9 12 | s/layer | p | | c | recoating
lasers | 1 3 4 | | p | build | c | lasers that work at once; present service shops run two to four
laser_gain | 0.8 0.9 0.97 | | p | | c | what each further laser adds
laser_rate | 0.05 0.12 0.25 | x rate | p | | c | what each further laser adds to the machine's rate
printer_rate | 25 35 60 | EUR/h | l | | c | computed 33; seen 30-50 USD/h without overhead and 50-100 USD/h
build_height | 0.2 0.4 0.8 | | p | | c | height in the build between the smallest and the largest size
plate_fill | 0.5 0.65 0.85 | | p | | c | share of a shared plate that is filled
plate_labour | 2 3 5 | h | p | | c | set-up and unpacking of a build
stress_relief | 40 80 150 | EUR | p | | c | furnace, wire cut and blast of a plate
hip | 200 400 900 | EUR | p | | c | hot isostatic pressing of a batch
support_removal | 5 10 20 | min | p | | c | each piece, grown with its size
print_data | 0.2 0.5 1.2 | h | p | complexity | c | build preparation, once
print_stock | 0.5 0.8 1.5 | mm | p | | c | left on faces that are machined
# casting
cast_tooling | 1200 3000 8000 | EUR | p | complexity | c | pattern or soft tool of a small near-net casting
cast_factor | 2.5 4 7 | x metal price | l | | c | price of a small-lot casting against its metal
cast_lot | 80 150 400 | EUR | p | | c | starting a lot at the foundry
cast_minimum_each | 4 8 20 | EUR | p | | c | least price of a cast piece
cast_stock | 1.5 2.5 4 | mm | p | | c | left on faces that are machined
"""  # noqa: E501 - a table reads as a table
