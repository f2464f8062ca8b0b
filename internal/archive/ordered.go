package archive

import (
	"runtime"

	"golang.org/x/sync/errgroup"
)

// ordered produces n things, some at a time, and gives them to use one after
// another in order. Not many are produced ahead. It stops at the first error of
// use and returns it.
func ordered[T any](n int, produce func(int) T, use func(int, T) error) error {
	workers := runtime.GOMAXPROCS(0)
	if n == 1 || workers == 1 {
		for i := range n {
			if err := use(i, produce(i)); err != nil {
				return err
			}
		}
		return nil
	}
	turns := make(chan chan T, 4*workers)
	stop := make(chan struct{})
	defer close(stop)
	go func() {
		defer close(turns)
		var g errgroup.Group
		g.SetLimit(workers)
		for i := range n {
			turn := make(chan T, 1)
			select {
			case turns <- turn:
			case <-stop:
				return
			}
			g.Go(func() error {
				turn <- produce(i)
				return nil
			})
		}
	}()
	i := 0
	for turn := range turns {
		if err := use(i, <-turn); err != nil {
			return err
		}
		i++
	}
	return nil
}
