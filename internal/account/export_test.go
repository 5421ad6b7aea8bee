package account

// TakeSlot holds one of the hasher's slots until the function it returns is called.
func TakeSlot(h *Hasher) (release func()) {
	h.slots <- struct{}{}
	return h.leave
}
