package place

// Example is a chain with the class that each of its mentions has.
type Example struct {
	Chain []Observation
	Truth []Class
}

// LogLikelihood adds the gradient of ln P(truth | chain) to grad, which is as
// long as the weights, and returns it.
func (m *Model) LogLikelihood(e *Example, grad []float64) float64 {
	var l lattice
	m.run(e.Chain, &l)
	k, ll := m.classes, -l.logZ
	for i := range e.Chain {
		o, truth := &e.Chain[i], e.Truth[i]
		ll += l.score[i*k+int(truth)]
		for _, c := range Allowed(o.Kind) {
			d := -l.forward[i*k+int(c)] * l.behind[i*k+int(c)]
			if c == truth {
				d++
			}
			for _, f := range o.Features {
				grad[int(f)*k+int(c)] += d
			}
		}
		if i == 0 {
			continue
		}
		before := e.Truth[i-1]
		ll += m.weights[m.link(o.Link, before, truth)] + m.weights[m.pair(before, truth)]
		grad[m.link(o.Link, before, truth)]++
		grad[m.pair(before, truth)]++
		step := m.steps[int(o.Link)*k*k:]
		for _, b := range Allowed(e.Chain[i-1].Kind) {
			for _, c := range Allowed(o.Kind) {
				at := i*k + int(c)
				p := l.forward[(i-1)*k+int(b)] * step[int(b)*k+int(c)] * l.likely[at] * l.behind[at] / l.scale[i]
				grad[m.link(o.Link, b, c)] -= p
				grad[m.pair(b, c)] -= p
			}
		}
	}
	return ll
}
