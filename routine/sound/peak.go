package sound

import "slices"

// A hump is a rise and fall of the envelope.
type hump struct {
	at     int     // frame of its top
	height float64 // dB from its top to the higher of the valleys that part it from higher humps
}

// humps returns all humps in order of time. Their height is their topological
// persistence: lower a threshold through the envelope and a hump is born at its
// top and dies where it meets a higher one (Edelsbrunner, Letscher & Zomorodian
// 2002). The highest lives from its top to the lowest point.
func humps(env []float64) []hump {
	order := make([]int, len(env))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case env[a] > env[b]:
			return -1
		case env[a] < env[b]:
			return +1
		}
		return a - b
	})
	top := make([]int, len(env)) // by root: frame of the island's top
	parent := make([]int, len(env))
	for i := range parent {
		parent[i] = -1
	}
	root := func(i int) int {
		for parent[i] != i {
			parent[i] = parent[parent[i]]
			i = parent[i]
		}
		return i
	}
	var found []hump
	for _, f := range order {
		parent[f], top[f] = f, f
		for _, g := range []int{f - 1, f + 1} {
			if g < 0 || g >= len(env) || parent[g] < 0 {
				continue
			}
			a, b := root(f), root(g)
			if env[top[a]] > env[top[b]] || (env[top[a]] == env[top[b]] && top[a] < top[b]) {
				a, b = b, a
			}
			if h := env[top[a]] - env[f]; h > 0 {
				found = append(found, hump{at: top[a], height: h})
			}
			parent[a] = b
		}
	}
	if len(order) > 0 {
		highest, lowest := order[0], order[len(order)-1]
		found = append(found, hump{at: highest, height: env[highest] - env[lowest]})
	}
	slices.SortFunc(found, func(a, b hump) int { return a.at - b.at })
	return found
}

// onset returns when the rise to a hump is steepest, in frames, looking no
// further back than the valley after frame from.
func onset(env []float64, from, top int) float64 {
	valley := from
	for f := from; f <= top; f++ {
		if env[f] <= env[valley] {
			valley = f
		}
	}
	slope := func(f int) float64 { return env[min(f+1, len(env)-1)] - env[max(f-1, 0)] }
	best := valley
	for f := valley; f <= top; f++ {
		if slope(f) > slope(best) {
			best = f
		}
	}
	return float64(best) + vertex(slope(best-1), slope(best), slope(best+1))
}

// vertex returns how far from the middle of three equally spaced values the top
// of the parabola through them lies, at most half a step.
func vertex(a, b, c float64) float64 {
	bend := a - 2*b + c
	if bend >= 0 {
		return 0
	}
	return max(-0.5, min(0.5, 0.5*(a-c)/bend))
}
