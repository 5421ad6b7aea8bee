// Package stock plans what to cut from which stick: the one-dimensional cutting stock problem
// with several stock lengths, prices, saw kerf, end trim and single offcuts on hand, solved
// exactly and with its proof.
//
// Solve makes the objective (lowest cost, or fewest sticks) as small as it can and states a
// lower bound that no plan is below. A plan is called optimal only where the two meet.
//
// Method. The linear program over cutting patterns is solved by column generation: a revised
// simplex of the package's own, patterns priced by a bounded knapsack. Its duals are then made
// whole numbers, and the bound is summed from those and an exact knapsack, so no rounding error
// can lift it; between possible sums of prices it is raised to the next. Plans come from filling
// the longest pieces first, and from diving: patterns are fixed one after another with the
// program solved anew, choices taken back, and a small rest solved exactly. Where bound and plan
// do not meet, every pattern whose reduced cost leaves room within the gap is listed, and a
// branch and cut over that list (splits on sticks of a kind, pairs of lengths, single patterns;
// Chvátal–Gomory cuts over three lengths) either finds the better plan or proves there is none.
// Every prune in it rests on whole-number duals too. Sources: Gilmore and Gomory, Operations
// Research 9 (1961) and 11 (1963); Ryan and Foster (1981) for the splits; Baldacci and others
// (2008) for listing patterns by reduced cost.
//
// Later measures. With the objective settled, plans are improved by a bounded local search in
// this order, none at the expense of an earlier one: (cost, for FewestSticks), waste, number of
// different layouts, length of the longest offcut kept. The search proves nothing; Plan.Proven
// lists the measures for which a simple bound happens to be met.
//
// Runs. SolveRuns plans runs longer than any stick, split by scarfs at places allowed; which
// splits is a bounded search around Solve, proven only where a bound over all splits is met.
//
// Very many lengths. Up to 1500 different lengths are planned so; beyond, plans come from
// filling alone, with the bound that the pieces' total length gives.
//
// Time. The package reads no clock. Solve is bounded by its context, asked about every
// millisecond of work, or by Options.Work, which counts steps and is reproducible. It uses one
// goroutine, and memory for at most 1.2 million listed patterns.
//
// Proof needs the program's floating point only to be near: it resolves about 1 part in 10^10 of
// the dearest stick. Where the plan's cost, counted in the largest unit that divides all prices, is
// beyond some 10^8, the last units of a gap may stay open; nothing is called optimal then.
//
// Numbers are whole: lengths in any unit, costs in any unit. No plan yields a piece shorter
// than asked. The package imports only the standard library, does no I/O, and runs in a browser.
package stock
