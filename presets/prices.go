package presets

import (
	"errors"
	"fmt"
	"io/fs"
	"os"

	"example.org/kerfwright/planner/cost"
	"example.org/kerfwright/planner/fault"
)

// pricesFile is the shop's price list in its own folder.
const pricesFile = "prices.toml"

// LoadPrices reads the price list in the user's folder; nil is no folder. No
// prices come with the program: without a list, none is known. A list with a
// fault in it counts for nothing.
func LoadPrices(user fs.FS) (cost.Prices, fault.List) {
	var faults fault.List
	if user == nil {
		return cost.Prices{}, nil
	}
	text, err := readSmall(user, pricesFile)
	if errors.Is(err, fs.ErrNotExist) {
		return cost.Prices{}, nil
	}
	if err != nil {
		faults.Warnf(fault.Where{File: pricesFile}, "prices", "Correct or remove the file.", "cannot be read: %v", err)
		return cost.Prices{}, faults
	}
	p, faults := cost.Decode(pricesFile, text)
	if faults.Bad() {
		return cost.Prices{}, faults
	}
	return p, faults
}

// Prices is LoadPrices with the store's folder.
func (s Store) Prices() (cost.Prices, fault.List) {
	p, faults := LoadPrices(os.DirFS(s.root))
	return p, s.placed(faults)
}

// SavePrices keeps the price list. A list there that cannot be read is moved
// aside.
func (s Store) SavePrices(p cost.Prices) (Saved, error) {
	text, faults := cost.Encode(p)
	if faults.Bad() {
		return Saved{}, fmt.Errorf("save the prices: %w", faults.Err())
	}
	saved, err := s.replaceWhole(Item{"", pricesFile}, text, func(old []byte) bool {
		_, faults := cost.Decode(pricesFile, old)
		return !faults.Bad()
	})
	if err != nil {
		return saved, fmt.Errorf("save the prices: %w", err)
	}
	return saved, nil
}
