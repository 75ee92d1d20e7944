package records

import "context"

// Row is something that can be recorded: a [Person], an [Attempt], an [Answer],
// a [Practice], a [SignOff], a [Code] or a [Ruling].
type Row interface {
	// check refuses what must not be kept.
	check() error
	// insert writes the row and returns its id.
	insert(t *tx) (int64, error)
}

// Add records all rows, or none of them when it returns an error, and returns
// their ids. A person who is not known yet is added. What is unset in a row and
// has a default is set. A context that ends before the write begins stops it, one
// that ends later does not.
func (s *Store) Add(ctx context.Context, rows ...Row) ([]int64, error) {
	for _, r := range rows {
		if err := r.check(); err != nil {
			return nil, err
		}
	}
	var ids []int64
	err := s.d.write(ctx, func(t *tx) (err error) {
		ids, err = t.insert(rows)
		return err
	})
	if err != nil {
		return nil, err
	}
	return ids, nil
}

// insert writes rows and returns their ids.
func (t *tx) insert(rows []Row) ([]int64, error) {
	ids := make([]int64, len(rows))
	for i, r := range rows {
		var err error
		if ids[i], err = r.insert(t); err != nil {
			return nil, err
		}
	}
	return ids, nil
}

// add records one row.
func (s *Store) add(ctx context.Context, r Row) (int64, error) {
	ids, err := s.Add(ctx, r)
	if err != nil {
		return 0, err
	}
	return ids[0], nil
}
