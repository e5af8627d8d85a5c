package server

import "sync"

// kept holds the last things that were made of what never changes, such as the pages of a plan, so that they are not made again for every phone. The oldest goes first.
type kept[K comparable, V any] struct {
	most  int
	mu    sync.Mutex
	made  map[K]V
	order []K
}

func newKept[K comparable, V any](most int) *kept[K, V] {
	return &kept[K, V]{most: most, made: map[K]V{}}
}

// get is what is kept under a key, or what f makes; what fails is not kept. Two who ask at once may both make it.
func (k *kept[K, V]) get(key K, f func() (V, error)) (V, error) {
	k.mu.Lock()
	v, ok := k.made[key]
	k.mu.Unlock()
	if ok {
		return v, nil
	}
	v, err := f()
	if err != nil {
		return v, err
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	if _, ok := k.made[key]; !ok {
		k.made[key], k.order = v, append(k.order, key)
	}
	for len(k.order) > k.most {
		delete(k.made, k.order[0])
		k.order = k.order[1:]
	}
	return v, nil
}
